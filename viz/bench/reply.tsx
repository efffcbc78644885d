import { toVec } from "../../engine/axes.ts";
import { useHouse } from "../house.ts";
import { Icon } from "../parts/icon.tsx";
import { pointWords } from "../words/axis.ts";
import { DoseStripView } from "./dose-strip.tsx";
import { Brought, ProposalCard } from "./proposal-card.tsx";
import { takeSpec } from "./take.ts";

/** The answer to a plain question, ready to be tried or taken. */
export function ReplyWords() {
  const { store, asking } = useHouse();
  const reply = asking.reply.value;
  if (!reply) return null;
  const { echo, answer } = reply;
  const { spec } = answer;
  return (
    <div class="reply">
      <p class="hint">Read as: {echo}.</p>
      {/* The strip says its best dose itself; the longer words stay below it, so that a phone shows both. */}
      {answer.strip && <DoseStripView key={answer.strip.ingredient} strip={answer.strip} echo={echo} />}
      <p class="reply-text">{answer.text}</p>
      {answer.after && !answer.strip && answer.proposals.length === 0 && (
        <p class="hint">
          Now {pointWords(toVec(answer.before))}. Then {pointWords(toVec(answer.after))}.
        </p>
      )}
      {spec && <Brought cautions={store.placeSpec(spec).value?.cautions ?? []} />}
      {answer.proposals.length > 0 && (
        <ol class="cards">
          {answer.proposals.map((proposal) => (
            <ProposalCard key={proposal.id} proposal={proposal} />
          ))}
        </ol>
      )}
      {spec && !answer.strip && answer.proposals.length === 0 && (
        <div class="buttons">
          <button type="button" onClick={() => store.edit({ spec })}>
            Put it on the bench
          </button>
          <button type="button" onClick={() => takeSpec(store, spec, echo)}>
            <Icon name="plus" /> Take it as a new round
          </button>
        </div>
      )}
    </div>
  );
}
