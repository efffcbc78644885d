import "../parts/stacked.css";
import { mean } from "d3";
import { useStore } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import type { PlacedRound } from "../state/derived.ts";
import type { Desk, KeptTasting } from "./desk.ts";
import type { Learning } from "./learning.ts";
import { bestLiked, meanLiking } from "./liked.ts";
import { LIKING_WORDS, MARKS, percent, wordText } from "./words.ts";

/** A mean mark with its side: "+1.0 too much". */
function meanMark(tastings: readonly KeptTasting[], name: "sweet" | "sour" | "strong"): string {
  const marks = tastings.flatMap((tasting) => tasting[name] ?? []);
  if (marks.length === 0) return "–";
  const x = mean(marks)!;
  return Math.abs(x) < 0.05 ? "right" : `${x < 0 ? "−" : "+"}${Math.abs(x).toFixed(1)}`;
}

/** Words by how often they were said. */
function wordsOf(tastings: readonly KeptTasting[]): string {
  const counts = new Map<string, number>();
  for (const word of tastings.flatMap(({ words }) => words)) counts.set(word, (counts.get(word) ?? 0) + 1);
  return [...counts]
    .sort((a, b) => b[1] - a[1])
    .map(([word, n]) => (n > 1 ? `${wordText(word)} ×${n}` : wordText(word)))
    .join(", ");
}

/** A round's likings on the nine points: a dot a taster, a bar at their mean. */
function LikingStrip({ tastings }: { tastings: readonly KeptTasting[] }) {
  const likings = tastings.flatMap(({ liking, taster }) => (liking === null ? [] : [{ liking, taster }]));
  if (likings.length === 0) return <span class="hint">no liking given</span>;
  const average = meanLiking(tastings)!;
  const at = (liking: number) => `${((liking - 1) / 8) * 100}%`;
  // Dots of one liking stand on top of one another.
  const stacked = likings.map(({ liking, taster }, i) => ({
    liking,
    taster,
    level: likings.slice(0, i).filter((other) => other.liking === liking).length,
  }));
  return (
    <span class="strip" role="img" aria-label={`Likings ${likings.map(({ liking }) => liking).join(", ")}`}>
      <span class="strip-scale">
        {stacked.map(({ liking, taster, level }) => (
          <span
            key={taster}
            class="strip-dot"
            title={`${taster}: ${liking}, ${LIKING_WORDS[liking - 1]}`}
            style={{ left: at(liking), bottom: `${4 + level * 9}px` }}
          />
        ))}
        <span class="strip-mean" style={{ left: at(average) }} />
      </span>
      <b>{average.toFixed(1)}</b>
    </span>
  );
}

/** Likings, marks and words a round, with how likely it leaves the table content. */
export function Likings({ desk, learning }: { desk: Desk; learning: Learning }) {
  const { answer, tasted, tastings } = learning;
  const outlooks = new Map((answer.value?.next?.rounds ?? []).map((outlook) => [outlook.id, outlook]));
  const nearest = answer.value?.next?.best.id;
  const liked = bestLiked(tastings.value);
  const agree = nearest === undefined || liked === null || nearest === liked;
  /** What is said of the round that the model puts first, and of the one that the likings put first. */
  const praise = agree
    ? new Map([[nearest, "best so far"]])
    : new Map([
        [nearest, "nearest the ideal"],
        [liked, "liked best"],
      ]);
  const row = ({ round }: PlacedRound) => {
    const own = tastings.value.filter((tasting) => tasting.round === round.id);
    const outlook = outlooks.get(round.id);
    return (
      <tr key={round.id}>
        <th scope="row">
          {round.number} {round.label}
          {praise.has(round.id) && <span class="best"> {praise.get(round.id)}</span>}
        </th>
        <td class="strip-cell wide">
          <LikingStrip tastings={own} />
        </td>
        {MARKS.map(({ name }) => (
          <td key={name} data-head={name}>
            {meanMark(own, name)}
          </td>
        ))}
        <td data-head="content">{outlook ? percent(outlook.chanceContent) : "–"}</td>
        <td class="said-words wide">{wordsOf(own)}</td>
      </tr>
    );
  };
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard. */}
      <section class="scroll" tabIndex={0} aria-labelledby="likings-title">
        <table class="likings stacked">
          <caption id="likings-title">
            Rounds as tasted: liking 1 to 9, a dot a taster; marks as means from −2, much too little, to 2,
            much too much
          </caption>
          <thead>
            <tr>
              <th scope="col">Round</th>
              <th scope="col">Liking</th>
              {MARKS.map(({ name }) => (
                <th scope="col" key={name}>
                  {name}
                </th>
              ))}
              <th scope="col">Table content</th>
              <th scope="col">Words</th>
            </tr>
          </thead>
          <tbody>{tasted.value.map(row)}</tbody>
        </table>
      </section>
      {!agree && (
        <p class="hint">
          What was liked best is not what lies nearest the ideal: something the map cannot see may have made
          the difference, or chance with so few glasses. The next pour is weighed against the one nearest the
          ideal, and changed from the drink on the bench.
        </p>
      )}
      <Fold summary="Every form" class="quiet-fold">
        {() => <Forms desk={desk} tastings={tastings.value} />}
      </Fold>
    </>
  );
}

function Forms({ desk, tastings }: { desk: Desk; tastings: readonly KeptTasting[] }) {
  const store = useStore();
  const number = (id: string) => store.bench.value?.rounds.find((round) => round.id === id)?.number ?? "–";
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label="Every form">
      <table class="forms">
        <thead>
          <tr>
            <th scope="col">Taster</th>
            <th scope="col">Round</th>
            <th scope="col">Liking</th>
            {MARKS.map(({ name }) => (
              <th scope="col" key={name}>
                {name}
              </th>
            ))}
            <th scope="col">Words and notes</th>
            <th scope="col">
              <span class="visually-hidden">Strike</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {tastings.map((tasting) => (
            <tr key={tasting.id}>
              <th scope="row">{tasting.taster}</th>
              <td>{number(tasting.round)}</td>
              <td>{tasting.liking ?? "–"}</td>
              {MARKS.map(({ name }) => (
                <td key={name}>{tasting[name] ?? "–"}</td>
              ))}
              <td class="said-words">
                {[tasting.words.map(wordText).join(", "), tasting.notes].filter(Boolean).join(". ")}
              </td>
              <td>
                <button
                  type="button"
                  class="quiet"
                  aria-label={`Strike ${tasting.taster}'s form for round ${number(tasting.round)}`}
                  onClick={() => {
                    desk.strike(tasting);
                    store.tell("The form is struck and no longer counts.", {
                      action: { label: "Undo", act: () => desk.unstrike(tasting) },
                      lasting: true,
                    });
                  }}
                >
                  Strike
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
