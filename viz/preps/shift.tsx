import "../parts/stacked.css";
import { toVec } from "../../engine/axes.ts";
import type { Placement } from "../../engine/types.ts";
import { AXES3, AXIS_NAME, AXIS_TITLE, AXIS_UNIT, axisNumber } from "../words/axis.ts";
import { drawShift, type ShiftMark } from "./draw-shift.ts";
import { Picture } from "./picture.tsx";

const HEIGHT = 340;

/** A drink to be shown beside others. */
export interface Stand {
  label: string;
  placement: Placement;
  look: ShiftMark["look"];
  /** A figure more, for the table. */
  more?: string;
}

/** Where the drink stands before and after, as a picture and as the same numbers in a table. */
export function Shift({
  caption,
  stands,
  measured = false,
}: {
  caption: string;
  stands: readonly Stand[];
  /** The two are one drink, before and after a reading. */
  measured?: boolean;
}) {
  const marks = stands.map(({ label, placement, look }) => ({
    key: label,
    label,
    look,
    point: placement.point,
    covariance: placement.covariance,
  }));
  const surer = measured ? surerOf(stands) : [];
  return (
    <figure class="shift">
      <Picture
        label={caption}
        height={HEIGHT}
        draw={(svg, width, height) => drawShift(svg, marks, width, height)}
        rests={stands}
      />
      <figcaption class="hint">{caption} Rings: two glasses in three.</figcaption>
      {surer.length > 0 && <p class="said surer">The drink is known better now: {surer.join(", ")}.</p>}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard. */}
      <section class="scroll" tabIndex={0} aria-label={`${caption} In numbers.`}>
        <table class="stacked">
          <thead>
            <tr>
              <th scope="col">Drink</th>
              {AXES3.map((axis) => (
                <th scope="col" key={axis}>
                  {AXIS_TITLE[axis]}, {AXIS_UNIT[axis]}
                </th>
              ))}
              <th scope="col">Finished, mL</th>
            </tr>
          </thead>
          <tbody>
            {stands.map(({ label, placement, look, more }) => (
              <tr key={label} data-look={look}>
                <th scope="row">
                  {label}
                  {more && <span class="hint"> {more}</span>}
                </th>
                {AXES3.map((axis) => (
                  <td key={axis} data-axis={axis} data-head={AXIS_TITLE[axis]}>
                    {axisNumber(axis, toVec(placement.point)[axis])} ±{" "}
                    {axisNumber(axis, toVec(placement.sd)[axis])}
                  </td>
                ))}
                <td data-head="Finished, mL">{placement.finishedVolumeMl.toFixed(0)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </figure>
  );
}

/** Part of a doubt that must have gone for it to be worth a word. */
const WORTH_SAYING = 0.02;

/** "sugar ± 0.53 → ± 0.46 g/100 mL": what a reading settled, from the first drink to the last. */
function surerOf(stands: readonly Stand[]): string[] {
  const before = stands.find(({ look }) => look === "before");
  const after = stands.find(({ look }) => look === "after");
  if (!before || !after) return [];
  const [was, is] = [toVec(before.placement.sd), toVec(after.placement.sd)];
  return AXES3.flatMap((axis) =>
    is[axis] < (1 - WORTH_SAYING) * was[axis]
      ? [`${AXIS_NAME[axis]} ± ${was[axis].toPrecision(2)} → ± ${is[axis].toPrecision(2)} ${AXIS_UNIT[axis]}`]
      : [],
  );
}
