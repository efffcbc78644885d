import { totalSugar } from "../mix/own-figures.ts";
import type { Ingredient } from "../types.ts";
import {
  amountFirst,
  amountLast,
  type Clause,
  type ClauseRule,
  changes,
  type Dose,
  doseFirst,
  doseOf,
  form,
  methodOf,
  readNumber,
  withFound,
} from "./clause.ts";
import type { Finder } from "./find-ingredient.ts";

/** So much more of it, or less. */
function by(dose: Dose | null, find: Finder, isLess = false): Clause | null {
  if (!dose) return null;
  if (dose.rest === "") return { code: "of-what" };
  const { amount, unit } = dose.amount;
  const more = { amount: isLess ? -amount : amount, unit };
  return withFound(dose.rest, find, (ingredient) => changes({ ingredient, by: more }));
}
const to = ({ amount, rest }: Dose, find: Finder): Clause =>
  withFound(rest, find, (ingredient) => changes({ ingredient, to: amount }));
const times = (said: string, factor: number, find: Finder): Clause =>
  withFound(said, find, (ingredient) => changes({ ingredient, times: factor }));
/** A share of what is poured more, or below 0 less; all of it is no share. */
const byShare = (said: string, share: number, find: Finder): Clause | null =>
  share > -1 ? times(said, 1 + share, find) : null;
/** The whole drink so many times. */
const resized = (said: string): Clause | null => {
  const scale = readNumber(said);
  return scale === null ? null : changes({ scale });
};
const mine = (id: string, find: Finder) => find.own.some((i) => i.id === id);

/** One for the other. Said either way round ("sub honey for maple"), the one that the drink holds is poured out. */
function swap(out: string, into: string, find: Finder, eitherWay = true): Clause {
  const dose = amountFirst(into);
  return withFound(out, find, (a) =>
    withFound(dose?.rest || into, find, (b) => {
      const [from, swapFor] = eitherWay && !mine(a, find) && mine(b, find) && !dose ? [b, a] : [a, b];
      if (!dose && isConcentrated(swapFor, find) && !isConcentrated(from, find)) {
        return { code: "too-strong", id: swapFor };
      }
      const swapped = { ingredient: from, swapFor };
      return dose ? changes(swapped, { ingredient: swapFor, to: dose.amount }) : changes(swapped);
    }),
  );
}

/** Acid of which half an ounce is no drink, g/100 mL and more: powders and concentrates, no juice or bar solution. */
const CONCENTRATED_G_PER_100ML = 40;

const isConcentrated = (id: string, { pantry }: Finder) =>
  Object.values(pantry.get(id)?.acidsGPer100Ml ?? {}).some(({ value }) => value >= CONCENTRATED_G_PER_100ML);

/** "use honey instead": of the one thing in the drink that does the same job. */
function swapForItsKind(said: string, find: Finder): Clause | null {
  if (methodOf(said) !== null) return null;
  return withFound(said, find, (swapFor) => {
    const role = find.pantry.get(swapFor)?.role;
    const [only, ...others] = find.own.filter((i) => i.role === role && i.id !== swapFor);
    return only && others.length === 0
      ? changes({ ingredient: only.id, swapFor })
      : { code: "instead-of-what", id: swapFor };
  });
}

/** The drink's own syrup a strength "thinner" or "richer", or of a given ratio. */
function syrupAt(said: string, wanted: string, find: Finder): Clause {
  return withFound(said, find, (id) => {
    const syrup = find.pantry.get(id);
    if (!syrup?.syrup) return { code: "no-syrup", id };
    const { family } = syrup.syrup;
    const kin = [...find.pantry.values()]
      .filter((i) => i.syrup?.family === family)
      .sort((a, b) => totalSugar(a) - totalSugar(b));
    const others = kin.filter((i) => i.id !== id);
    const ratioOf = (i: Ingredient) => i.syrup?.ratio.split(" ")[0];
    const own = ratioOf(syrup);
    const here = totalSugar(syrup);
    const next =
      wanted === "thinner"
        ? kin.findLast((i) => ratioOf(i) !== own && totalSugar(i) < here)
        : wanted === "richer"
          ? kin.find((i) => ratioOf(i) !== own && totalSugar(i) > here)
          : (others.find((i) => i.syrup?.ratio === wanted) ?? others.find((i) => ratioOf(i) === wanted));
    return next ? changes({ ingredient: id, swapFor: next.id }) : { code: "no-such-syrup", id, wanted };
  });
}

/** What is no ingredient: the drink as a whole. */
const WHOLE =
  /^(?:it|this|that|this one|the drink|the whole (?:drink|thing)|the recipe|the spec|everything|all|them|all of it)$/;

const THINNER = "thinner|weaker|lighter|less rich";
const RICHER = "richer|thicker|stronger|rich";
const strengthOf = (way: string) => (THINNER.split("|").includes(way) ? "thinner" : "richer");

/** Verbs that add, and that take away. */
const RAISE = "raise|increase|up|lift|boost";
const LOWER = "lower|reduce|decrease|drop|cut|trim";
const lowers = (verb: string) => !RAISE.split("|").includes(verb);
/** Verbs that move an amount up or down. */
const MOVE = "take|bring|turn|move|put|push|pull|dial|knock|bump|drop";
const PERCENT = String.raw`(\d+(?:\.\d+)?) ?(?:%|percent|per cent)`;
/** A syrup's strength, sugar to water. */
const RATIO = String.raw`(\d+(?:\.\d+)?:\d+)`;

/**
 * Forms of a change, as people ask for one, without what leads in ("what if I"). Order matters: what says more
 * comes first.
 */
export const CHANGE_RULES: readonly ClauseRule[] = [
  {
    id: "method",
    example: "stir it instead",
    pattern: form`(.+)`,
    read: ([said = ""]) => {
      const method = methodOf(said);
      return method && changes({ method });
    },
  },
  {
    id: "size",
    example: "make it a double",
    pattern: form`(?:make|do|have|pour|build) (?:it|this|that|one) (?:a |as a )?(double|triple|single|half)(?: size)?`,
    read: ([size = ""]) => resized(size),
  },
  {
    id: "how-many",
    example: "make two of them",
    pattern: form`(?:make|do|batch|pour|serve) (\S+)(?: of (?:them|these|it|this)| drinks| rounds| serves)?|(?:make (?:it|this) )?for (\S+)(?: people| guests)?`,
    read: ([a, b]) => resized(a ?? b ?? ""),
  },
  {
    id: "scale",
    example: "double everything",
    pattern: form`(double|triple|halve|scale|multiply)(?: (?:up|down))? (.+?)(?: (?:up|down))?(?: (?:by|to|times) (\S+))?`,
    read: ([verb = "", what = "", said], find) => {
      const own = verb === "halve" ? 0.5 : readNumber(verb);
      const factor = own ?? readNumber((said ?? "").replace(/(?<=\d)[x×]$/, ""));
      if (factor !== null && WHOLE.test(what)) return changes({ scale: factor });
      return own === null ? null : times(what, own, find);
    },
  },
  {
    id: "times",
    example: "twice the lime",
    pattern: form`(?:use |add |put in |pour )?(twice|double|triple|half|three times)(?: as (?:much|many)| the amount of)? (?:the |of the )?(.+?)`,
    read: ([factor = "", what = ""], find) => {
      // "Half a lime more" adds; it does not halve.
      if (WHOLE.test(what) || /(?:^| )(?:more|less|fewer|extra)(?: |$)/.test(what)) return null;
      if (doseFirst(`${factor} ${what}`, find)) return null;
      const many = readNumber(factor.replace(" times", ""));
      return many === null ? null : times(what, many, find);
    },
  },
  {
    id: "syrup-way",
    example: "make the syrup thinner",
    pattern: form`(?:make|get) (.+?) (?:a (?:bit|little|touch) )?(${THINNER}|${RICHER})`,
    read: ([what = "", way = ""], find) => (WHOLE.test(what) ? null : syrupAt(what, strengthOf(way), find)),
  },
  {
    id: "syrup-kind",
    example: "use a richer syrup",
    pattern: form`(?:use|try|with|go with) (?:a |the )?(${THINNER}|${RICHER}) (.+)`,
    read: ([way = "", what = ""], find) => syrupAt(what, strengthOf(way), find),
  },
  {
    id: "thin",
    example: "thin the honey syrup",
    pattern: form`(thin|thin down|thin out|water down|dilute|loosen|enrich|thicken) (?:down |out )?(.+?)(?: (?:down )?to ${RATIO})?`,
    read: ([verb = "", what = "", ratio], find) => {
      if (WHOLE.test(what)) return null;
      return syrupAt(what, ratio ?? (verb === "enrich" || verb === "thicken" ? "richer" : "thinner"), find);
    },
  },
  {
    id: "syrup-ratio",
    example: "make the honey syrup 1:1",
    pattern: form`(?:make|take|bring|use|with) (.+?)(?: (?:to|at))? ${RATIO}`,
    read: ([what = "", ratio = ""], find) => syrupAt(what, ratio, find),
  },
  {
    id: "instead-of",
    example: "use maple syrup instead of honey",
    pattern: form`(?:use |put in |pour |take |try |go with |do |with |have )?(.+?) (?:instead of|in place of|in lieu of|rather than) (.+)`,
    read: ([into = "", out = ""], find) => swap(out, into, find, false),
  },
  {
    id: "swap",
    example: "swap the rum for gin",
    pattern: form`(?:swap|change|replace|trade|exchange|switch)(?: out)? (.+?) (?:for|to|with|by|into|out for) (.+)`,
    read: ([out = "", into = ""], find) => (doseOf(out, into) ? null : swap(out, into, find)),
  },
  {
    id: "substitute",
    example: "substitute gin for the rum",
    pattern: form`(?:sub|substitute)(?: in)? (.+?) (for|in for|with|by) (.+)`,
    read: ([a = "", word = "", b = ""], find) => (word.endsWith("for") ? swap(b, a, find) : swap(a, b, find)),
  },
  {
    id: "instead",
    example: "use agave syrup instead",
    pattern: form`(?:use |try |with |pour |go with )?(.+) instead`,
    read: ([said = ""], find) => {
      const dose = amountFirst(said);
      return dose ? to(dose, find) : swapForItsKind(said, find);
    },
  },
  {
    id: "up-down",
    example: "take the honey syrup down a bar spoon",
    pattern: form`(?:(?:${MOVE}) )?(.+?) (down|up|back)(?: by)? (.+)`,
    read: ([what = "", way = "", said = ""], find) => by(doseOf(what, said), find, way !== "up"),
  },
  {
    id: "down-up",
    example: "bump up the lime by 1/4 oz",
    pattern: form`(?:${MOVE}|cut|scale) (down|up|back) (?:on )?(.+)`,
    read: ([way = "", said = ""], find) => by(amountLast(said), find, way !== "up"),
  },
  {
    id: "raise-lower",
    example: "cut the honey syrup by a bar spoon",
    pattern: form`(${RAISE}|${LOWER}|shorten|pull) (.+?) by (.+)`,
    read: ([verb = "", what = "", said = ""], find) =>
      by(doseOf(what, said), find, lowers(verb)) ?? { code: "no-amount", said },
  },
  {
    id: "more-less",
    example: "a bar spoon less honey syrup",
    pattern: form`(?:use |with |add |take |do |have |pour )?(.+?) (more|extra|additional|less|fewer|off)(?: of)?(?: (.+))?`,
    read: ([said = "", way = "", what = ""], find) => {
      // "A splash more lime" and "half a lime more" have their size in a word.
      const dose = doseOf(what, said) ?? doseFirst(`${said} ${what}`.trim(), find);
      return by(dose, find, /^(?:less|fewer|off)$/.test(way));
    },
  },
  {
    id: "another",
    example: "another dash of bitters",
    pattern: form`(?:add )?(?:another|an extra|an additional|one more|extra) (.+)`,
    read: ([said = ""], find) => by(doseFirst(said, find), find),
  },
  {
    id: "set-to",
    example: "bring the lime to 1 oz",
    pattern: form`(?:make|set|bring|take|move|put|change|push|get|raise|increase|lower|reduce|drop|cut|have|use|keep) (.+)`,
    read: ([said = ""], find) => {
      const dose = amountLast(said);
      return dose && !WHOLE.test(dose.rest) ? to(dose, find) : null;
    },
  },
  {
    id: "add",
    example: "add 1/4 oz lime juice",
    pattern: form`(?:add|splash in|pour in|put in|stir in|throw in|drop in|include)(?: in)? (.+)`,
    // "Add egg white" is one.
    read: ([said = ""], find) =>
      by(doseFirst(/^egg/.test(said) ? `an ${said}` : said, find), find) ?? { code: "no-amount", said },
  },
  {
    id: "take-out",
    example: "take out 1/4 oz of the rum",
    pattern: form`(?:take out|take away|take off|take|cut|remove|drop|lose|subtract|pull|hold back) (.+)`,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose && by({ ...dose, rest: dose.rest.replace(/^(?:from|off|out of) /, "") }, find, true);
    },
  },
  {
    id: "top-up",
    example: "top it with 1 oz of soda",
    pattern: form`(?:top|top up|fill|fill up|lengthen) (?:it|this|the drink|the glass)(?: up| off)? with (.+)`,
    read: ([said = ""], find) => by(doseFirst(said, find), find) ?? { code: "no-amount", said },
  },
  {
    id: "percent",
    example: "cut the honey syrup by 20 %",
    pattern: form`(${RAISE}|${LOWER}) (.+?) (?:by|down by|up by) (?:${PERCENT}|(a third|half|one third))`,
    read: ([verb = "", what = "", percent, share], find) => {
      if (WHOLE.test(what)) return null;
      const part = percent === undefined ? (share === "half" ? 1 / 2 : 1 / 3) : Number(percent) / 100;
      return byShare(what, lowers(verb) ? -part : part, find);
    },
  },
  {
    id: "percent-less",
    example: "20 % less honey syrup",
    pattern: form`(?:use |with )?(?:${PERCENT}|(a third)) (more|less)(?: of)? (.+)`,
    read: ([percent, , way = "", what = ""], find) => {
      const part = percent === undefined ? 1 / 3 : Number(percent) / 100;
      return byShare(what, way === "more" ? part : -part, find);
    },
  },
  {
    id: "leave-out",
    example: "leave out the bitters",
    pattern: form`(?:leave out|leave off|omit|drop|skip|lose|remove|ditch|cut|cut out|take out|take away|go without|do without|without|no|hold) (.+?)(?: altogether| entirely| completely| out)?|(?:leave|take|cut) (.+?) out`,
    read: ([a, b], find) => to({ rest: a ?? b ?? "", amount: { amount: 0, unit: "ml" } }, find),
  },
  {
    id: "use",
    example: "use 3/4 oz of lime juice",
    pattern: form`(?:use |pour |put |put in |go with |have |with |only |just |do )*(.+)`,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose && dose.rest !== "" ? to(dose, find) : null;
    },
  },
  {
    id: "use-its-kind",
    example: "use agave syrup",
    pattern: form`(?:use|try|go with|have) (?:a |an |some )?(?!more |less )(.+)`,
    read: ([said = ""], find) => {
      const found = find(said);
      return "id" in found && !mine(found.id, find) ? swapForItsKind(said, find) : null;
    },
  },
  {
    id: "bare-set",
    example: "lime at 1 oz",
    pattern: form`(.+)`,
    read: ([said = ""], find) => {
      const dose = amountLast(said);
      return dose && to(dose, find);
    },
  },
  {
    id: "bare-for",
    example: "maple syrup for the honey",
    pattern: form`(.+?) for (.+)`,
    read: ([into = "", out = ""], find) => {
      const [a, b] = [find(into), find(out)];
      return "id" in a && "id" in b && mine(b.id, find) ? changes({ ingredient: b.id, swapFor: a.id }) : null;
    },
  },
];
