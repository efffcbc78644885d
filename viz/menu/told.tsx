import { useMemo, useState } from "preact/hooks";
import { type MenuReport, readMenu } from "../../engine/menu/menu.ts";
import {
  alikeText,
  cornerText,
  groupingText,
  groupText,
  STEP_TEXT,
  spreadText,
  withoutAlcoholText,
} from "../../engine/menu/words.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { startFrom } from "../bench/benches-edit.ts";
import { useStore } from "../house.ts";
import { createTextMeasure } from "../map/text-measure.ts";
import { SheetTable } from "../pantry/table.tsx";
import { Segments } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { Cautions } from "../preps/figures.tsx";
import { Picture } from "../preps/picture.tsx";
import { catalogueOf } from "../state/catalogue.ts";
import { addressOf } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import { AXES3, AXIS_CAPTION, AXIS_TITLE, axisNumber } from "../words/axis.ts";
import { cornerTag, drawMenu } from "./draw-menu.ts";
import type { MenuEntry } from "./read-specs.ts";
import { ALIKE_HINT, CORNERS_HINT, KEY_TEXT, NO_ALIKE, NO_CORNERS, pictureText } from "./words.ts";

/** Share of a family's drinks in which corners are looked for: its edges are nobody's want. */
const INNER_HALF = 0.5;
const ALL = "all";
const OWN = "own";
const AMONG = [
  { value: ALL, label: "Every family" },
  { value: OWN, label: "This menu’s families" },
] as const;
type Among = (typeof AMONG)[number]["value"];

/** The ranges of the families, in all and not by era, each by the family's name. */
function rangesOf(store: Store) {
  const view = catalogueOf(store.data).view();
  return view
    .regions(INNER_HALF)
    .filter(({ id }) => store.data.families.some((family) => id === `family:${family.id}`))
    .map(({ id, target }) => {
      const { name } = store.data.families.find((family) => id === `family:${family.id}`)!;
      return { ...compileTarget(target), name };
    });
}

/** All there is to say of the drinks that have a place. */
export function MenuTold({ entries }: { entries: readonly MenuEntry[] }) {
  const store = useStore();
  const [among, setAmong] = useState<Among>(ALL);
  const ranges = useMemo(() => rangesOf(store), [store]);
  const classics = useMemo(
    () =>
      catalogueOf(store.data)
        .view()
        .references.map(({ drink: { name }, point }) => ({ name, point })),
    [store],
  );
  const measure = useMemo(() => createTextMeasure(() => getComputedStyle(document.body).fontFamily), []);
  const drinks = useMemo(() => entries.map(({ drink }) => drink), [entries]);
  const report = useMemo(() => {
    const own = new Set(drinks.map(({ family }) => family));
    return readMenu(drinks, among === ALL ? ranges : ranges.filter(({ name }) => own.has(name)), classics);
  }, [drinks, among, ranges, classics]);
  const picture = useMemo(() => ({ drinks, report, measure }), [drinks, report, measure]);
  const cautions = [...new Set(entries.flatMap(({ placement }) => placement.cautions))];
  const without = withoutAlcoholText(report.spread);
  return (
    <>
      <div class="menu-shown">
        <div class="menu-picture">
          <Picture
            label={pictureText(drinks.length, report.groups.length)}
            height={460}
            draw={(svg, width, height) => drawMenu(svg, picture, width, height)}
            rests={picture}
          />
          <p class="hint">{KEY_TEXT}</p>
        </div>
        <Drinks entries={entries} report={report} />
      </div>
      <div class="menu-words">
        <Groups report={report} entries={entries} />
        <section aria-labelledby="menu-alike">
          <h2 id="menu-alike">Near-duplicates</h2>
          <Lines texts={report.alike.map((pair) => alikeText(pair, drinks))} none={NO_ALIKE} />
          <p class="hint">{ALIKE_HINT}</p>
        </section>
        <section aria-labelledby="menu-corners">
          <h2 id="menu-corners">Empty corners</h2>
          <Segments label="Look for them among" value={among} options={AMONG} onChoose={setAmong} />
          <Lines
            texts={report.corners.map((corner) => cornerText(corner, drinks))}
            none={NO_CORNERS}
            tag={cornerTag}
          />
          <p class="hint">
            {STEP_TEXT} {CORNERS_HINT}
          </p>
        </section>
        <section aria-labelledby="menu-spread">
          <h2 id="menu-spread">How wide it is</h2>
          <p class="said">{spreadText(report.spread)}</p>
          {without && <p class="said">{without}</p>}
        </section>
      </div>
      <Supposed entries={entries} />
      <Cautions ids={cautions} />
    </>
  );
}

/** Pairs beyond this are a fold away. */
const FIRST_LINES = 8;

function Lines({
  texts,
  none,
  tag,
}: {
  texts: readonly string[];
  none: string;
  tag?: (i: number) => string;
}) {
  if (texts.length === 0) return <p class="said">{none}</p>;
  const list = (some: readonly string[]) => (
    <ul class="menu-lines">
      {some.map((text, i) => (
        <li class="said" key={text}>
          {tag && <b class="menu-tag">{tag(i)}</b>} {text}
        </li>
      ))}
    </ul>
  );
  const rest = texts.slice(FIRST_LINES);
  return (
    <>
      {list(texts.slice(0, FIRST_LINES))}
      {rest.length > 0 && <Fold summary={`${rest.length} more`}>{() => list(rest)}</Fold>}
    </>
  );
}

function Groups({ report, entries }: { report: MenuReport; entries: readonly MenuEntry[] }) {
  const { groups } = report;
  return (
    <section aria-labelledby="menu-groups">
      <h2 id="menu-groups">Groups</h2>
      <p class="said">{groupingText(report)}</p>
      <ul class="menu-lines">
        {groups.map((group, i) => (
          <li class="said" key={group.letter}>
            <b class={`menu-swatch shade-${i}`}>{group.letter}</b> <b>{groupText(group)}</b>:{" "}
            {group.members.map((m) => entries[m]!.name).join(", ")}.
          </li>
        ))}
      </ul>
    </section>
  );
}

const HEADS = ["No.", "Drink", "Group", "Most like", ...AXIS_CAPTION];

function Drinks({ entries, report }: { entries: readonly MenuEntry[]; report: MenuReport }) {
  return (
    <SheetTable label="The drinks of the menu; ± is one standard uncertainty" heads={HEADS} stacked>
      {entries.map((entry, i) => {
        const { drink, placement } = entry;
        const group = report.groups.findIndex(({ members }) => members.includes(i));
        return (
          <tr key={i}>
            <td class="figure">{i + 1}</td>
            <th scope="row">
              <OpenDrink entry={entry} />
            </th>
            <td>
              <b class={`menu-swatch shade-${group}`}>{report.groups[group]!.letter}</b>
            </td>
            <td class="wide">{drink.family ?? "–"}</td>
            {AXES3.map((axis) => (
              <td class="figure" key={axis} data-head={AXIS_TITLE[axis].toLowerCase()}>
                {axisNumber(axis, drink.point[axis])} ±{" "}
                {axisNumber(axis, Math.sqrt(placement.covariance[axis][axis]))}
              </td>
            ))}
          </tr>
        );
      })}
    </SheetTable>
  );
}

/** A drink's name: the way to its bench, or to a new one that starts with it. */
function OpenDrink({ entry: { name, bench, spec, made } }: { entry: MenuEntry }) {
  const store = useStore();
  if (bench !== null) return <a href={addressOf("bench", bench)}>{name}</a>;
  const start = () => {
    const own = store.work.value.own.filter(({ id }) => !made.some((m) => m.id === id));
    startFrom(store, spec, made.length > 0 ? { own: [...own, ...made] } : {});
  };
  return (
    <button type="button" class="quiet" aria-label={`${name}: start a bench with it`} onClick={start}>
      {name}
    </button>
  );
}

/** What the reader supposed, by drink. */
function Supposed({ entries }: { entries: readonly MenuEntry[] }) {
  const told = entries.filter(({ supposed }) => supposed.length > 0);
  if (told.length === 0) return null;
  return (
    <Fold summary={`What was supposed in reading ${told.length === 1 ? "one spec" : `${told.length} specs`}`}>
      {() => (
        <ul class="menu-lines">
          {told.map(({ name, supposed }, i) => (
            <li class="said" key={i}>
              <b>{name}</b>: {supposed.join("; ")}
            </li>
          ))}
        </ul>
      )}
    </Fold>
  );
}
