import { familyOf, kinMarks } from "./draw-classics.ts";
import { doubtNameRects } from "./draw-doubt.ts";
import { markRadius } from "./draw-marks.ts";
import { pullNames } from "./draw-paths.ts";
import { regionNameRects } from "./draw-region.ts";
import { otherTrails, trailSegments } from "./draw-trail.ts";
import { byFame, plainName } from "./fame.ts";
import { type Item, referenceItems } from "./items.ts";
import {
  type Obstacles,
  overlap,
  type PlacedLabel,
  placeLabels,
  type Rect,
  rectAround,
  rectOf,
} from "./label-placement.ts";
import type { XY } from "./model.ts";
import { type Hit, placeIn, type Said, type Scene, type Wanted } from "./scene.ts";
import { type G, toPath, written } from "./svg-layer.ts";

type Named = PlacedLabel & Said;

/** Paper per classic's name, in squares of the text size: a fuller plot cannot be read. */
const AREA_PER_NAME = 62;
/** Longest name of a round that is written out, in characters. */
const LONGEST_ROUND_NAME = 26;

const clip = (text: string, most: number) =>
  text.length <= most ? text : `${text.slice(0, most - 1).replace(/[\s,]+\S*$/, "")}…`;

/** Whether a drink is in the window. */
function isInside({ frame }: Scene, item: Item): boolean {
  const [x, y] = placeIn(frame)(item.point);
  const { width, height } = frame.layout.plot;
  return x >= 0 && y >= 0 && x <= width && y <= height;
}

function want(
  { frame, hand, measure }: Scene,
  item: Item,
  said: Omit<Said, "item">,
  priority: number,
  required: boolean,
): Wanted {
  const { typePx } = frame.layout;
  return {
    wish: {
      key: `${said.kind} ${item.key}`,
      anchor: placeIn(frame)(item.point),
      radius: markRadius(item, hand, typePx),
      width: measure(said.text, { px: typePx, bold: said.kind !== "classic" }) + 6,
      height: 1.3 * typePx,
      priority,
      required,
    },
    said: { ...said, item: item.key },
  };
}

/** What must be named, and the drink and its rounds, which would be: most wanted first. */
function wantedOf(scene: Scene): { must: Wanted[]; would: Wanted[] } {
  const { items, hand, cursor, model, layers } = scene;
  const must: Wanted[] = [];
  const would: Wanted[] = [];
  for (const item of items) {
    if (item.kind === "reference" && item.key !== cursor?.key && item.id !== model.beside) continue;
    if (!isInside(scene, item)) continue;
    if (item.kind === "reference") {
      const [kind, priority] =
        item.key === cursor?.key ? (["cursor", 140] as const) : (["beside", 120] as const);
      must.push(want(scene, item, { text: item.name, kind }, priority, true));
    } else if (item.key === hand?.key && layers.has("names")) {
      const text = item.kind === "round" ? clip(item.name, LONGEST_ROUND_NAME) : "your drink";
      would.push(want(scene, item, { text, kind: "you" }, 90, false));
    }
  }
  for (const trail of otherTrails(scene)) {
    const last = trail.items.filter((item) => isInside(scene, item)).at(-1);
    if (last) must.push(want(scene, last, { text: trail.name, kind: "other" }, 80, true));
  }
  for (const item of roundsIn(scene)) {
    if (!layers.has("names") || item.name === "") continue;
    const text = `${item.tag} ${clip(item.name, LONGEST_ROUND_NAME)}`;
    const priority = (item.abandoned ? 60 : 70) + Number(item.tag) / 100;
    would.push(want(scene, item, { text, kind: "round" }, priority, false));
  }
  return { must, would };
}

/** The rounds in the window but the one at hand. */
function roundsIn(scene: Scene): Item[] {
  const { items, hand, layers } = scene;
  return layers.has("trail")
    ? items.filter((i) => i.kind === "round" && i.key !== hand?.key && isInside(scene, i))
    : [];
}

/** Numbers for the rounds whose names are not among those `named`. */
function numbersFor(scene: Scene, would: readonly Wanted[], named: readonly PlacedLabel[]): Wanted[] {
  const has = new Set(named.map((label) => label.key));
  const bare = would.flatMap(({ wish, said }) =>
    said.kind === "round" && !has.has(wish.key) ? [said.item] : [],
  );
  return roundsIn(scene)
    .filter((i) => !scene.layers.has("names") || bare.includes(i.key))
    .map((i) => want(scene, i, { text: i.tag, kind: "number" }, Number(i.tag), true));
}

/** The classics of the chosen families by fame. */
function classicNames(scene: Scene): Wanted[] {
  const { model, cursor, layers } = scene;
  if (!layers.has("classics") || !layers.has("names")) return [];
  const kin = model.references.filter((r) => r.families.some((id) => model.families.includes(id)));
  const items = new Map(referenceItems(model.references).map((item) => [item.id, item]));
  const named = new Set<string>();
  return byFame(kin).flatMap((reference, rank) => {
    const item = items.get(reference.id);
    const name = plainName(reference.name);
    if (!item || !isInside(scene, item)) return [];
    if (named.has(name) || item.id === model.beside || item.key === cursor?.key) return [];
    named.add(name);
    return [want(scene, item, { text: name, kind: "classic" }, 40 - rank / 10, false)];
  });
}

/** The families that are not chosen, each named once in the middle of its classics. */
function familyNames(scene: Scene): Wanted[] {
  const { model, frame, layers } = scene;
  if (!layers.has("classics") || !layers.has("names")) return [];
  const place = placeIn(frame);
  const { plot, typePx } = frame.layout;
  return model.familyNames.flatMap(({ id, name }) => {
    if (model.families.includes(id)) return [];
    const members = model.references
      .filter((r) => familyOf(r, model.families) === id)
      .map((r) => place(r.point));
    const seen = members.filter(([x, y]) => x > 0 && y > 0 && x < plot.width && y < plot.height);
    if (seen.length < 3) return [];
    const middle = (k: 0 | 1) => [...seen].sort((a, b) => a[k] - b[k])[Math.floor(seen.length / 2)]![k];
    const at: XY = [middle(0), middle(1)];
    const text = name.toLowerCase();
    return [
      {
        wish: {
          key: `family ${id}`,
          anchor: at,
          radius: 2,
          width: scene.measure(text, { px: typePx }) + 8,
          height: 1.3 * typePx,
          priority: 10 + seen.length / 100,
          required: false,
        },
        said: { text, kind: "family" as const, item: null },
      },
    ];
  });
}

/** The names that the drink has no part in, kept while what they rest on is the same. */
function calmNames(scene: Scene): { classics: Wanted[]; families: Wanted[] } {
  const { frame, model, cursor, layers, measure, labels } = scene;
  const rests = [frame, model.references, model.families, model.beside, cursor?.key, layers, measure];
  if (!labels.calm?.rests.every((part, i) => part === rests[i])) {
    labels.calm = { rests, classics: classicNames(scene), families: familyNames(scene) };
  }
  return labels.calm;
}

/** What labels keep off: marks, the names of the rings and of the range, the lines of the trail. */
function obstaclesOf(scene: Scene): Obstacles {
  const { frame, items, hand, layers } = scene;
  const marks = items
    .filter(
      (i) => i.kind !== "reference" && (i.kind !== "round" || layers.has("trail") || i.key === hand?.key),
    )
    .map((i) => rectAround(placeIn(frame)(i.point), markRadius(i, hand, frame.layout.typePx)));
  return {
    rects: [...marks, ...doubtNameRects(scene), ...regionNameRects(scene)],
    segments: trailSegments(scene),
  };
}

/** What must stay in sight of the family's classics. */
const kinRects = (scene: Scene): Rect[] =>
  kinMarks(scene).map((mark) => rectAround(mark, 0.3 * scene.frame.layout.typePx));

/** Where a label may stand. */
function boundsOf({ frame }: Scene): Rect {
  const { width, height } = frame.layout.plot;
  return { left: 2, top: 2, right: width - 2, bottom: height - 2 };
}

const wishesOf = (wanted: readonly Wanted[]) => wanted.map(({ wish }) => wish);

/**
 * Place the labels: what must be named first, then the rounds' names along the trail, then the classics by fame,
 * then the other families. A round whose name found no room keeps its number. While labels are held, each stays
 * where it stood beside its mark.
 */
function placed(scene: Scene): Named[] {
  const { labels } = scene;
  const { plot, typePx } = scene.frame.layout;
  const bounds = boundsOf(scene);
  const { must, would } = wantedOf(scene);
  const { classics, families } = calmNames(scene);
  const wanted = new Map([...must, ...would, ...classics, ...families].map((w) => [w.wish.key, w]));
  const anchorOf = ({ key }: PlacedLabel) => wanted.get(key)!.wish.anchor;
  const withWords = (label: PlacedLabel): Named[] => {
    const said = wanted.get(label.key)?.said;
    return said ? [{ ...label, ...said }] : [];
  };
  /** The numbers of rounds without a name, to be given words like the rest. */
  const numbersBeside = (named: readonly PlacedLabel[]) => {
    const numbers = numbersFor(scene, would, named);
    for (const number of numbers) wanted.set(number.wish.key, number);
    return numbers;
  };
  const before = labels.placed;
  if (labels.held && before) {
    const stay = () =>
      [...before.values()].flatMap((label) =>
        wanted.has(label.key) ? withWords(shift(label, anchorOf(label))) : [],
      );
    const numbers = numbersBeside(stay());
    const kept = stay();
    const fresh = [...must, ...numbers].filter(({ wish }) => !before.has(wish.key));
    if (fresh.length === 0) return kept;
    const { rects, segments } = obstaclesOf(scene);
    const found = placeLabels(wishesOf(fresh), bounds, { rects: [...rects, ...kept.map(rectOf)], segments });
    labels.placed = new Map([...before, ...besideMarks(found, anchorOf)]);
    return [...kept, ...found.flatMap(withWords)];
  }
  const { rects: marks, segments } = obstaclesOf(scene);
  const most = Math.round((plot.width * plot.height) / (AREA_PER_NAME * typePx * typePx));
  const first = placeLabels(wishesOf([...must, ...would]), bounds, { rects: marks, segments });
  const numbers = placeLabels(wishesOf(numbersBeside(first)), bounds, {
    rects: [...marks, ...first.map(rectOf)],
    segments,
  });
  const taken = [...marks, ...first.map(rectOf), ...numbers.map(rectOf), ...kinRects(scene)];
  const names = placeLabels(wishesOf(classics), bounds, { rects: taken, segments }, most);
  const rest = placeLabels(wishesOf(families), bounds, {
    rects: [...taken, ...names.map(rectOf)],
    segments,
  });
  const all = [...first, ...names, ...rest, ...numbers];
  labels.placed = new Map(besideMarks(all, anchorOf));
  return all.flatMap(withWords);
}

/**
 * A pull's words among the names that stand. It comes and goes with the pointer, so that none of them moves; of the
 * families, named faintly, one that is in the way is left out meanwhile.
 */
function withPull(scene: Scene, names: readonly Named[]): readonly Named[] {
  const { wanted, segments } = pullNames(scene);
  if (wanted.length === 0) return names;
  const { rects, segments: trail } = obstaclesOf(scene);
  const firm = names.filter(({ kind }) => kind !== "family");
  const found = placeLabels(wishesOf(wanted), boundsOf(scene), {
    rects: [...rects, ...firm.map(rectOf), ...kinRects(scene)],
    segments: [...trail, ...segments],
  });
  const said = new Map(wanted.map((w) => [w.wish.key, w.said]));
  const words = found.map((label) => ({ ...label, ...said.get(label.key)! }));
  const clear = names.filter(
    (name) => name.kind !== "family" || words.every((word) => overlap(rectOf(word), rectOf(name)) === 0),
  );
  return [...clear, ...words];
}

/** Where labels stand relative to their marks, by key. */
function besideMarks(labels: readonly PlacedLabel[], anchorOf: (label: PlacedLabel) => XY) {
  return labels.map((label) => {
    const [x, y] = anchorOf(label);
    return [label.key, shift(label, [-x, -y])] as const;
  });
}

function shift(label: PlacedLabel, [dx, dy]: XY): PlacedLabel {
  return {
    ...label,
    x: label.x + dx,
    y: label.y + dy,
    leader: label.leader && [
      [label.leader[0][0] + dx, label.leader[0][1] + dy],
      [label.leader[1][0] + dx, label.leader[1][1] + dy],
    ],
  };
}

/** Draw the names, and tell what the pointer can find in the plot: marks and names. */
export function drawLabels(g: G, scene: Scene, find: (hits: readonly Hit[]) => void): void {
  const { frame, items, hand } = scene;
  const { typePx, plot } = frame.layout;
  const place = placeIn(frame);
  const names = withPull(scene, placed(scene));
  const groups = g
    .selectAll<SVGGElement, Named>("g.m-name")
    .data(names, (t) => t.key)
    .join((enter) => {
      const name = enter.append("g");
      name.append("path").attr("class", "leader");
      name.append("text").attr("dy", "0.33em").attr("text-anchor", "middle");
      return name;
    })
    .attr("class", (t) => `m-name m-name-${t.kind}`);
  groups.select("path").attr("d", (t) => (t.leader ? toPath([...t.leader]) : null));
  groups
    .select("text")
    .attr("x", (t) => t.x.toFixed(1))
    .attr("y", (t) => t.y.toFixed(1))
    .call(written((t) => t.text));
  const marks = items.flatMap((item): Hit[] => {
    const at = place(item.point);
    if (at[0] < -4 || at[1] < -4 || at[0] > plot.width + 4 || at[1] > plot.height + 4) return [];
    const r = markRadius(item, hand, typePx) / 2;
    return [
      {
        key: item.key,
        at,
        half: [r, r],
        handicap: item.kind === "reference" ? 5 : item.key === hand?.key ? -1 : 0,
      },
    ];
  });
  const words = names.flatMap((t): Hit[] =>
    t.item ? [{ key: t.item, at: [t.x, t.y], half: [t.width / 2, t.height / 2], handicap: 6 }] : [],
  );
  find([...marks, ...words]);
}
