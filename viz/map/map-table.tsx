import { AXES3, AXIS_CAPTION, axisNumber } from "../words/axis.ts";
import { itemsOf, sdOf, titleOf } from "./items.ts";
import type { MapModel } from "./model.ts";

/** Everything the map shows, as rows. */
export function MapTable({ model }: { model: MapModel }) {
  const items = itemsOf(model);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label="Points on the map">
      <table class="map-table">
        <caption>Points on the map; ± is one standard uncertainty</caption>
        <thead>
          <tr>
            <th scope="col">Point</th>
            {AXIS_CAPTION.map((caption) => (
              <th scope="col" key={caption}>
                {caption}
              </th>
            ))}
            {model.target && <th scope="col">In range</th>}
          </tr>
        </thead>
        <tbody>
          {items.map((item) => (
            <tr key={item.key}>
              <th scope="row">{titleOf(item)}</th>
              {AXES3.map((axis) => {
                const sd = sdOf(item, axis);
                return (
                  <td key={axis}>
                    {axisNumber(axis, item.point[axis])}
                    {sd === null ? "" : ` ± ${axisNumber(axis, sd)}`}
                  </td>
                );
              })}
              {model.target && <td>{model.target.contains(item.point) ? "yes" : "no"}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
