import { familyOf } from "./draw-classics.ts";
import { doubtNameRects } from "./draw-doubt.ts";
import { markRadius } from "./draw-marks.ts";
import { regionNameRects } from "./draw-region.ts";
import { otherTrails, trailSegments } from "./draw-trail.ts";
import { byFame, plainName } from "./fame.ts";
import type { Item } from "./items.ts";
import { type LabelWish, type PlacedLabel, placeLabels, type Rect, rectOf } from "./label-placement.ts";
import type { XY } from "./model.ts";
import { type Hit, placeIn, type Scene } from "./scene.ts";
import { type G, toPath, written } from "./svg-layer.ts";

/** What a label says and of whom. */
interface Said {
  text: string;
  kind: "round" | "number" | "ghost" | "classic" | "family" | "beside" | "cursor" | "other" | "you";
  /** The item it belongs to, for the pointer. */
  item: string | null;
}

type Named = PlacedLabel & Said;

/** Paper per classic's name, in squares of the text size: a fuller plot cannot be read. */
const AREA_PER_NAME = 62;
/** Longest name of a round that is written out, in characters. */
const LONGEST_ROUND_NAME = 26;

const clip = (text: string, most: number) =>
  text.length <= most ? text : `${text.slice(0, most - 1).replace(/[\s,]+\S*$/, "")}…`;

interface Wanted {
  wish: LabelWish;
  said: Said;
}

/** Everything that would like a name, most wanted first. */
function wantedOf(scene: Scene): { must: Wanted[]; would: Wanted[]; classics: Wanted[] } {
  const { frame, items, hand, cursor, model, layers } = scene;
  const place = placeIn(frame);
  const { typePx, plot } = frame.layout;
  const inside = (item: Item) => {
    const [x, y] = place(item.point);
    return x >= 0 && y >= 0 && x <= plot.width && y <= plot.height;
  };
  const want = (item: Item, said: Omit<Said, "item">, priority: number, required: boolean): Wanted => ({
    wish: {
      key: `${said.kind} ${item.key}`,
      anchor: place(item.point),
      radius: markRadius(item, hand, typePx),
      width: scene.measure(said.text, { px: typePx, bold: said.kind !== "classic" }) + 6,
      height: 1.3 * typePx,
      priority,
      required,
    },
    said: { ...said, item: item.key },
  });
  const shown = items.filter(inside);
  const rounds = layers.has("trail") ? shown.filter((i) => i.kind === "round" && i.key !== hand?.key) : [];
  const must: Wanted[] = [];
  const would: Wanted[] = [];
  for (const item of shown) {
    if (item.key === cursor?.key && item.kind === "reference") {
      must.push(want(item, { text: item.name, kind: "cursor" }, 140, true));
    } else if (item.kind === "reference" && item.id === model.beside) {
      must.push(want(item, { text: item.name, kind: "beside" }, 120, true));
    } else if (item.key === hand?.key && layers.has("names")) {
      const text = item.kind === "round" ? clip(item.name, LONGEST_ROUND_NAME) : "your drink";
      would.push(want(item, { text, kind: "you" }, 90, false));
    }
  }
  for (const trail of otherTrails(scene)) {
    const last = trail.items.filter(inside).at(-1);
    if (last) must.push(want(last, { text: trail.name, kind: "other" }, 80, true));
  }
  for (const item of rounds) {
    const text = `${item.tag} ${clip(item.name, LONGEST_ROUND_NAME)}`;
    if (layers.has("names") && item.name !== "") {
      would.push(
        want(item, { text, kind: "round" }, (item.abandoned ? 60 : 70) + Number(item.tag) / 100, false),
      );
    }
  }
  const kin = model.references.filter((r) => r.families.some((id) => model.families.includes(id)));
  const named = new Set<string>();
  const classics =
    layers.has("classics") && layers.has("names")
      ? byFame(kin).flatMap((reference, rank) => {
          const item = shown.find((i) => i.kind === "reference" && i.id === reference.id);
          const name = plainName(reference.name);
          if (!item || named.has(name) || item.id === model.beside || item.key === cursor?.key) return [];
          named.add(name);
          return [want(item, { text: name, kind: "classic" }, 40 - rank / 10, false)];
        })
      : [];
  return { must, would, classics };
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

const rectAround = ([x, y]: XY, r: number): Rect => ({
  left: x - r,
  right: x + r,
  top: y - r,
  bottom: y + r,
});

/**
 * Place the labels: what must be named first, then the rounds' names along the trail, then the classics by fame,
 * then the other families. A round whose name found no room keeps its number. While labels are held, each stays
 * where it stood beside its mark.
 */
function placed(scene: Scene): Named[] {
  const { frame, items, hand, labels, layers } = scene;
  const { plot, typePx } = frame.layout;
  const place = placeIn(frame);
  const bounds: Rect = { left: 2, top: 2, right: plot.width - 2, bottom: plot.height - 2 };
  const { must, would, classics } = wantedOf(scene);
  const families = familyNames(scene);
  const all = [...must, ...would, ...classics, ...families];
  const saidOf = new Map(all.map(({ wish, said }) => [wish.key, said]));
  const withWords = (label: PlacedLabel): Named[] => {
    const said = saidOf.get(label.key);
    return said ? [{ ...label, ...said }] : [];
  };
  const anchors = new Map(all.map(({ wish }) => [wish.key, wish.anchor]));
  const marks = items
    .filter(
      (i) => i.kind !== "reference" && (i.kind !== "round" || layers.has("trail") || i.key === hand?.key),
    )
    .map((i) => rectAround(place(i.point), markRadius(i, hand, typePx)));
  marks.push(...doubtNameRects(scene), ...regionNameRects(scene));
  const segments = trailSegments(scene);
  const numbersFor = (names: readonly PlacedLabel[], taken: readonly Rect[]): Named[] => {
    const has = new Set(names.map((label) => label.key));
    const bare = would.filter(({ wish, said }) => said.kind === "round" && !has.has(wish.key));
    const wishes = layers.has("trail")
      ? items
          .filter((i) => i.kind === "round" && i.key !== hand?.key)
          .filter((i) => !layers.has("names") || bare.some(({ said }) => said.item === i.key))
          .filter((i) => {
            const [x, y] = place(i.point);
            return x >= 0 && y >= 0 && x <= plot.width && y <= plot.height;
          })
      : [];
    return placeLabels(
      wishes.map((i) => ({
        key: `number ${i.key}`,
        anchor: place(i.point),
        radius: markRadius(i, hand, typePx),
        width: scene.measure(i.tag, { px: typePx, bold: true }) + 6,
        height: 1.3 * typePx,
        priority: Number(i.tag),
        required: true,
      })),
      bounds,
      { rects: taken, segments },
    ).map((label) => {
      const key = label.key.slice("number ".length);
      return {
        ...label,
        text: key ? (items.find((i) => i.key === key)?.tag ?? "") : "",
        kind: "number",
        item: key,
      };
    });
  };
  if (labels.held && labels.placed) {
    const kept = [...labels.placed.values()].flatMap((label) => {
      const anchor = anchors.get(label.key);
      return anchor ? withWords(shift(label, anchor)) : [];
    });
    const rects = [...marks, ...kept.map(rectOf)];
    const fresh = placeLabels(
      must.map(({ wish }) => wish).filter((wish) => !labels.placed?.has(wish.key)),
      bounds,
      { rects, segments },
    ).flatMap(withWords);
    return [...kept, ...fresh, ...numbersFor(kept, [...rects, ...fresh.map(rectOf)])];
  }
  const most = Math.round((plot.width * plot.height) / (AREA_PER_NAME * typePx * typePx));
  const first = placeLabels(
    [...must, ...would].map(({ wish }) => wish),
    bounds,
    { rects: marks, segments },
  );
  const numbers = numbersFor(first, [...marks, ...first.map(rectOf)]);
  const taken = [...marks, ...first.map(rectOf), ...numbers.map(rectOf)];
  const kinMarks = classics.map(({ wish }) => rectAround(wish.anchor, wish.radius));
  const names = placeLabels(
    classics.map(({ wish }) => wish),
    bounds,
    { rects: [...taken, ...kinMarks], segments },
    most,
  );
  const rest = placeLabels(
    families.map(({ wish }) => wish),
    bounds,
    { rects: [...taken, ...kinMarks, ...names.map(rectOf)], segments },
  );
  labels.placed = new Map(
    [...first, ...names, ...rest].map((label) => {
      const [x, y] = anchors.get(label.key)!;
      return [label.key, shift(label, [-x, -y])];
    }),
  );
  return [...[...first, ...names, ...rest].flatMap(withWords), ...numbers];
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
  const names = placed(scene);
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
