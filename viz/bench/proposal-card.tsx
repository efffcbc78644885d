import { toVec } from "../../engine/axes.ts";
import type { CautionId, Placement, Proposal } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { letter } from "../map/items.ts";
import { changeWords, volumeWords } from "../words/amounts.ts";
import { AXES3, AXIS_TITLE, axisNumber } from "../words/axis.ts";
import { landingOf } from "./landing.ts";
import { measuresOf } from "./measures.ts";
import { takeSpec } from "./take.ts";
import { driftWords } from "./words.ts";

/** A chance as a count that never claims certainty. */
function inHundred(chance: number): string {
  const n = Math.round(chance * 100);
  return n < 1 ? "under 1 in 100" : n > 99 ? "over 99 in 100" : `${n} in 100`;
}

/** What the glass and the guest notice: how full, and how much stronger a serving it is. */
function servingWords(placement: Placement, before: Placement | null, units: "oz" | "ml"): string {
  const drinks = placement.standardDrinks.us.toFixed(1);
  const was = before?.standardDrinks.us.toFixed(1) ?? drinks;
  return [
    `${volumeWords(placement.finishedVolumeMl, units)}${placement.washLine ? `, ${placement.washLine.name.toLowerCase()}: ${placement.washLine.verdict}` : ""}`,
    drinks === was ? `${drinks} US standard drinks` : `standard drinks ${was} → ${drinks} US`,
  ].join(" · ");
}

/** The cautions that a changed drink carries and the one on the bench does not. */
export function Brought({ cautions }: { cautions: readonly CautionId[] }) {
  const { store } = useHouse();
  const now = store.placement.value?.cautions ?? [];
  const brought = store.data.cautions.filter(({ id }) => cautions.includes(id) && !now.includes(id));
  return (
    <>
      {brought.map(({ id, title, text }) => (
        <p class="card-warns" key={id}>
          <b>{title}.</b> {text}
        </p>
      ))}
    </>
  );
}

/**
 * One proposal as a card: what to pour, where it lands, how sure, why. Pointing at it or focusing it shows it
 * everywhere; taking it is a second act. `compared`: it stands among rivals, so that what it is best at means
 * something.
 */
export function ProposalCard({
  proposal,
  title = proposal.name,
  compared = false,
}: {
  proposal: Proposal;
  title?: string;
  compared?: boolean;
}) {
  const { store, asking } = useHouse();
  const measures = measuresOf(store);
  const shown = store.focused.value === proposal.id;
  const landing = landingOf(store, proposal);
  const at = asking.offers.value.findIndex(({ id }) => id === proposal.id);
  const [before, after, sd] = [toVec(proposal.before), toVec(proposal.after), toVec(proposal.afterSd)];
  const show = () => {
    if (store.focused.value !== proposal.id) store.focused.value = proposal.id;
  };
  const stale = asking.stale.value;
  return (
    <li
      class="card"
      data-id={proposal.id}
      data-shown={shown}
      onPointerEnter={(event) => event.pointerType === "mouse" && show()}
      onFocusIn={show}
    >
      <h3>
        <button type="button" class="card-title" aria-pressed={shown} onClick={show}>
          <span class="letter" aria-hidden="true">
            {at < 0 ? "" : letter(at)}
          </span>
          {title}
        </button>
      </h3>
      <ul class="moves">
        {proposal.moves.map((move) => (
          <li key={`${move.kind} ${move.ingredient}`}>{changeWords(move, store.pantry.value, measures)}</li>
        ))}
      </ul>
      <dl class="lands" aria-label="Where it lands">
        {AXES3.map((axis) => (
          <div key={axis}>
            <dt>{AXIS_TITLE[axis]}</dt>
            <dd title={`± ${axisNumber(axis, sd[axis])}`}>
              <span class="was">{axisNumber(axis, before[axis])} →</span>{" "}
              <b>{axisNumber(axis, after[axis])}</b>
            </dd>
          </div>
        ))}
      </dl>
      {landing && (
        <>
          <p class="card-verdict" data-inside={landing.verdict?.inside ?? false}>
            {landing.verdict?.headline}{" "}
            {landing.chance !== null && (
              <span>
                <b class="card-chance">{inHundred(landing.chance)}</b> real glasses would be in range.
              </span>
            )}
          </p>
          <Brought cautions={landing.placement.cautions} />
          <p class="card-facts">{servingWords(landing.placement, store.placement.value, measures.units)}</p>
        </>
      )}
      <div class="card-foot">
        <button
          type="button"
          class={shown ? "take primary" : "take"}
          disabled={stale}
          aria-label={`Take it: “${title}” as a new round`}
          onClick={() => takeSpec(store, proposal.spec, proposal.name)}
        >
          Take it
        </button>
        {compared && proposal.bestAt.length > 0 && (
          <ul class="tags" aria-label="Of these, best for">
            {proposal.bestAt.map((tag) => (
              <li key={tag}>{tag}</li>
            ))}
          </ul>
        )}
      </div>
      {shown && (
        <p class="why">
          {proposal.why}
          {proposal.driftFromFirst !== null && ` ${driftWords(proposal.driftFromFirst)}.`}
          {proposal.costChange !== null &&
            ` Costs ${Math.abs(proposal.costChange).toFixed(2)} ${proposal.costChange < 0 ? "less" : "more"}.`}
        </p>
      )}
    </li>
  );
}
