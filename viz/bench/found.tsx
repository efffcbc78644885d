import { toVec } from "../../engine/axes.ts";
import type { Route } from "../../engine/explore/routes.ts";
import type { Proposal } from "../../engine/types.ts";
import { lowerFirst } from "../../engine/wording.ts";
import { useHouse } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import { addressOf } from "../state/route.ts";
import { pointWords } from "../words/axis.ts";
import type { Answer } from "./asking.ts";
import { openFigure } from "./open-figure.ts";
import { ProposalCard } from "./proposal-card.tsx";
import { RouteTable } from "./route-table.tsx";
import { proofWords } from "./words.ts";

/** What was found: each change as a card, other kinds of change, and what is behind it. */
export function Found({ answer }: { answer: Answer }) {
  const { asking } = useHouse();
  const { proposals } = answer.found;
  return (
    <>
      {proposals.length > 0 && (
        <ol class="cards">
          {proposals.map((proposal) => (
            <ProposalCard
              key={proposal.id}
              proposal={proposal}
              compared={proposals.length > 1}
              {...(proposal.id === answer.found.edge && {
                title: `Just inside: ${lowerFirst(proposal.name)}`,
              })}
            />
          ))}
        </ol>
      )}
      <MeasureFirst answer={answer} />
      <WhyNot answer={answer} />
      {answer.found.solved.status !== "already_inside" &&
        (answer.routes === null ? (
          <button
            type="button"
            class="compare-kinds"
            disabled={asking.progress.value !== null || asking.stale.value}
            onClick={() => asking.askRoutes()}
          >
            Compare a swap, a syrup, an acid, a method
          </button>
        ) : (
          <OtherKinds routes={answer.routes} />
        ))}
      <Behind answer={answer} />
    </>
  );
}

/** For an impossible question: the rules that cannot hold together, the closest drink, and what frees it. */
function WhyNot({ answer }: { answer: Answer }) {
  const { solved, repair } = answer.found;
  if (solved.status !== "infeasible") return null;
  const nearest = solved.infeasible?.nearest;
  const repairs = repair?.repairs.slice(0, 6) ?? [];
  return (
    <div class="infeasible">
      <p>{repair?.text ?? solved.infeasible?.text ?? ""}</p>
      {nearest && <p class="hint">The closest these pours can come: {pointWords(toVec(nearest.point))}.</p>}
      {repairs.length > 0 && (
        <ol class="cards">
          {repairs.map((entry) => (
            <ProposalCard key={entry.proposal.id} proposal={entry.proposal} title={entry.title} />
          ))}
        </ol>
      )}
    </div>
  );
}

/** Other kinds of change beside plain pours; worked out only when asked, because they are many. */
function OtherKinds({ routes }: { routes: readonly Route[] }) {
  const reached = routes.flatMap((route) => (route.proposal ? [{ ...route, proposal: route.proposal }] : []));
  const without = routes.filter((route) => route.proposal === null);
  // An addition that its own least change leaves out is no failure: pouring what is there is the smaller change.
  const unused = without.filter((route) => route.status === "optimal");
  const missed = without.filter((route) => route.status !== "optimal");
  const names = (list: readonly Route[]) => list.map((route) => route.name).join("; ");
  return (
    <div class="routes">
      <h3>By another kind of change</h3>
      {reached.length > 0 ? (
        <RouteTable routes={reached satisfies (Route & { proposal: Proposal })[]} />
      ) : (
        <p class="hint">None of them gets there within these rules.</p>
      )}
      {missed.length > 0 && <p class="hint">Does not get there: {names(missed)}.</p>}
      {unused.length > 0 && (
        <p class="hint">No help, pouring what is there is the smaller change: {names(unused)}.</p>
      )}
    </div>
  );
}

/** What to measure, where that would do more than pouring, with the way to enter the figure. */
function MeasureFirst({ answer }: { answer: Answer }) {
  const { store } = useHouse();
  const { advice, solved } = answer.found;
  if (advice.length === 0) return null;
  return (
    <div class="measure-first">
      <h3>Measuring would do more than pouring</h3>
      <p class="hint">
        {solved.status === "already_inside" ? "For the drink as it stands" : "For the first change, A"}:
      </p>
      {advice.map(({ kind, ingredient, text }) => {
        const isFigure = kind === "sugar" || kind === "acid" || kind === "abv";
        const mine = store.spec.value.lines.some((line) => line.ingredient === ingredient);
        return (
          <div class="advice" key={text}>
            <p>{text}</p>
            {ingredient && isFigure && mine && (
              <>
                <button type="button" class="quiet" onClick={() => openFigure(ingredient, kind)}>
                  Enter my figure
                </button>
                <a href={addressOf("preps", `reading-${ingredient}`)}>Measure this first</a>
              </>
            )}
          </div>
        );
      })}
    </div>
  );
}

/** What is behind the answer: the proof in plain words, then what each limit costs and the numbers. */
function Behind({ answer }: { answer: Answer }) {
  const { solved, proposals } = answer.found;
  if (solved.status === "already_inside") return null;
  const { certificate } = solved;
  const prices = solved.continuous?.multipliers.filter((multiplier) => multiplier.value > 0) ?? [];
  const isSolved = solved.status !== "infeasible";
  const title = !isSolved
    ? "How we know that nothing works"
    : certificate.proved
      ? "How we know that nothing smaller works"
      : "How far the search got";
  return (
    <Fold summary={title} class="quiet-fold proof">
      {() => (
        <>
          <ul>
            {proofWords(certificate, proposals[0]?.touched ?? null, isSolved).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
          <Fold summary="The numbers behind it" class="quiet-fold">
            {() => (
              <ul class="hint">
                {prices.map((multiplier) => (
                  <li key={multiplier.text}>{multiplier.text}</li>
                ))}
                {certificate.refutations.slice(0, 20).map((refutation) => (
                  <li key={refutation.text}>{refutation.text}</li>
                ))}
                <li>
                  {(answer.milliseconds / 1000).toFixed(answer.milliseconds < 100 ? 3 : 1)} s,{" "}
                  {certificate.nodes} steps of search.
                </li>
              </ul>
            )}
          </Fold>
        </>
      )}
    </Fold>
  );
}
