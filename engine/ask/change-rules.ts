import { sugarOf } from "../explore/additions.ts";
import type { Ingredient } from "../types.ts";
import {
  amountFirst,
  amountLast,
  type Clause,
  type ClauseRule,
  changes,
  doseFirst,
  methodOf,
  negative,
  readAmount,
  readNumber,
  trouble,
  withFound,
} from "./clause.ts";
import type { Finder } from "./find-ingredient.ts";
import type { SaidAmount } from "./intent.ts";

const by = (said: string, amount: SaidAmount, find: Finder): Clause =>
  said === ""
    ? trouble({ code: "of-what", said: "" })
    : withFound(said, find, (ingredient) => changes({ ingredient, by: amount }));
const to = (said: string, amount: SaidAmount, find: Finder): Clause =>
  withFound(said, find, (ingredient) => changes({ ingredient, to: amount }));
const without = (said: string, find: Finder): Clause =>
  withFound(said, find, (ingredient) => changes({ ingredient, to: { amount: 0, unit: "ml" } }));
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
/** Verbs that add; the others of their rules take away. */
const RAISES = /^(?:raise|increase|up|lift|boost)$/;
const mine = (id: string, find: Finder) => find.own.some((i) => i.id === id);

/** One for the other. Said either way round ("sub honey for maple"), the one that the drink holds is poured out. */
function swap(out: string, into: string, find: Finder, eitherWay = true): Clause {
  const dose = amountFirst(into);
  return withFound(out, find, (a) =>
    withFound(dose?.rest || into, find, (b) => {
      const [from, swapFor] = eitherWay && !mine(a, find) && mine(b, find) && !dose ? [b, a] : [a, b];
      if (!dose && isConcentrated(swapFor, find) && !isConcentrated(from, find)) {
        return trouble({ code: "too-strong", id: swapFor });
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
    const same = find.own.filter((i) => i.role === role && i.id !== swapFor);
    const [only] = same;
    return same.length === 1 && only
      ? changes({ ingredient: only.id, swapFor })
      : trouble({ code: "instead-of-what", id: swapFor });
  });
}

/** The pantry's syrups of one kind, thinnest first. */
function kinOf(syrup: Ingredient, find: Finder): Ingredient[] {
  const family = syrup.syrup?.family;
  return [...find.pantry.values()]
    .filter((i) => i.syrup !== undefined && i.syrup.family === family)
    .sort((a, b) => sugarOf(a) - sugarOf(b));
}

/** The drink's own syrup a strength thinner or richer, or of a given ratio. */
function syrupAt(said: string, wanted: "thinner" | "richer" | string, find: Finder): Clause {
  return withFound(said, find, (id) => {
    const syrup = find.pantry.get(id);
    if (!syrup?.syrup) return trouble({ code: "no-syrup", id });
    const kin = kinOf(syrup, find);
    const others = kin.filter((i) => i.id !== id);
    const ratioOf = (i: Ingredient) => i.syrup?.ratio.split(" ")[0];
    const own = ratioOf(syrup);
    const here = sugarOf(syrup);
    const next =
      wanted === "thinner"
        ? kin.findLast((i) => ratioOf(i) !== own && sugarOf(i) < here)
        : wanted === "richer"
          ? kin.find((i) => ratioOf(i) !== own && sugarOf(i) > here)
          : (others.find((i) => i.syrup?.ratio === wanted) ?? others.find((i) => ratioOf(i) === wanted));
    return next
      ? changes({ ingredient: id, swapFor: next.id })
      : trouble({ code: "no-such-syrup", id, wanted });
  });
}

/** What is no ingredient: the drink as a whole. */
const WHOLE =
  /^(?:it|this|that|this one|the drink|the whole (?:drink|thing)|the recipe|the spec|everything|all|them|all of it)$/;

const SYRUP_WAYS: Readonly<Record<string, "thinner" | "richer">> = {
  thinner: "thinner",
  weaker: "thinner",
  lighter: "thinner",
  "less rich": "thinner",
  richer: "richer",
  thicker: "richer",
  stronger: "richer",
  rich: "richer",
};
const WAY = Object.keys(SYRUP_WAYS).join("|");

/**
 * Forms of a change, as people ask for one, without what leads in ("what if I"). Order matters: what says more
 * comes first.
 */
export const CHANGE_RULES: readonly ClauseRule[] = [
  {
    id: "method",
    example: "stir it instead",
    pattern: /^(.+)$/,
    read: ([said = ""]) => {
      const method = methodOf(said);
      return method && changes({ method });
    },
  },
  {
    id: "size",
    example: "make it a double",
    pattern:
      /^(?:make|do|have|pour|build) (?:it|this|that|one) (?:a |as a )?(double|triple|single|half)(?: size)?$/,
    read: ([size = ""]) => resized(size),
  },
  {
    id: "how-many",
    example: "make two of them",
    pattern:
      /^(?:make|do|batch|pour|serve) (\S+)(?: of (?:them|these|it|this)| drinks| rounds| serves)?$|^(?:make (?:it|this) )?for (\S+)(?: people| guests)?$/,
    read: ([a, b]) => resized(a ?? b ?? ""),
  },
  {
    id: "scale",
    example: "double everything",
    pattern:
      /^(double|triple|halve|scale|multiply)(?: (?:up|down))? (.+?)(?: (?:up|down))?(?: (?:by|to|times) (\S+))?$/,
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
    pattern:
      /^(?:use |add |put in |pour )?(twice|double|triple|half|three times)(?: as (?:much|many)| the amount of)? (?:the |of the )?(.+?)$/,
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
    pattern: new RegExp(`^(?:make|get) (.+?) (?:a (?:bit|little|touch) )?(${WAY})$`),
    read: ([what = "", way = ""], find) =>
      WHOLE.test(what) ? null : syrupAt(what, SYRUP_WAYS[way] ?? way, find),
  },
  {
    id: "syrup-kind",
    example: "use a richer syrup",
    pattern: new RegExp(`^(?:use|try|with|go with) (?:a |the )?(${WAY}) (.+)$`),
    read: ([way = "", what = ""], find) => syrupAt(what, SYRUP_WAYS[way] ?? way, find),
  },
  {
    id: "thin",
    example: "thin the honey syrup",
    pattern:
      /^(thin|thin down|thin out|water down|dilute|loosen|enrich|thicken) (?:down |out )?(.+?)(?: (?:down )?to (\d+(?:\.\d+)?:\d+))?$/,
    read: ([verb = "", what = "", ratio], find) => {
      if (WHOLE.test(what)) return null;
      return syrupAt(what, ratio ?? (verb === "enrich" || verb === "thicken" ? "richer" : "thinner"), find);
    },
  },
  {
    id: "syrup-ratio",
    example: "make the honey syrup 1:1",
    pattern: /^(?:make|take|bring|use|with) (.+?)(?: (?:to|at))? (\d+(?:\.\d+)?:\d+)$/,
    read: ([what = "", ratio = ""], find) => syrupAt(what, ratio, find),
  },
  {
    id: "instead-of",
    example: "use maple syrup instead of honey",
    pattern:
      /^(?:use |put in |pour |take |try |go with |do |with |have )?(.+?) (?:instead of|in place of|in lieu of|rather than) (.+)$/,
    read: ([into = "", out = ""], find) => swap(out, into, find, false),
  },
  {
    id: "swap",
    example: "swap the rum for gin",
    pattern:
      /^(?:swap|change|replace|trade|exchange|switch)(?: out)? (.+?) (?:for|to|with|by|into|out for) (.+)$/,
    read: ([out = "", into = ""], find) => (readAmount(into) ? null : swap(out, into, find)),
  },
  {
    id: "substitute",
    example: "substitute gin for the rum",
    pattern: /^(?:sub|substitute)(?: in)? (.+?) (for|in for|with|by) (.+)$/,
    read: ([a = "", word = "", b = ""], find) => (word.endsWith("for") ? swap(b, a, find) : swap(a, b, find)),
  },
  {
    id: "instead",
    example: "use agave syrup instead",
    pattern: /^(?:use |try |with |pour |go with )?(.+) instead$/,
    read: ([said = ""], find) => {
      const dose = amountFirst(said);
      return dose ? to(dose.rest, dose.amount, find) : swapForItsKind(said, find);
    },
  },
  {
    id: "up-down",
    example: "take the honey syrup down a bar spoon",
    pattern:
      /^(?:(?:take|bring|turn|move|put|push|pull|dial|knock|bump|drop) )?(.+?) (down|up|back)(?: by)? (.+)$/,
    read: ([what = "", way = "", said = ""], find) => {
      const amount = readAmount(said);
      return amount && by(what, way === "up" ? amount : negative(amount), find);
    },
  },
  {
    id: "down-up",
    example: "bump up the lime by 1/4 oz",
    pattern:
      /^(?:take|bring|turn|move|put|push|pull|dial|knock|bump|drop|cut|scale) (down|up|back) (?:on )?(.+)$/,
    read: ([way = "", said = ""], find) => {
      const dose = amountLast(said);
      return dose && by(dose.rest, way === "up" ? dose.amount : negative(dose.amount), find);
    },
  },
  {
    id: "raise-lower",
    example: "cut the honey syrup by a bar spoon",
    pattern:
      /^(raise|increase|up|lift|boost|lower|reduce|decrease|drop|cut|trim|shorten|pull) (.+?) by (.+)$/,
    read: ([verb = "", what = "", said = ""], find) => {
      const amount = readAmount(said);
      if (!amount) return trouble({ code: "no-amount", said });
      return by(what, RAISES.test(verb) ? amount : negative(amount), find);
    },
  },
  {
    id: "more-less",
    example: "a bar spoon less honey syrup",
    pattern:
      /^(?:use |with |add |take |do |have |pour )?(.+?) (more|extra|additional|less|fewer|off)(?: of)?(?: (.+))?$/,
    read: ([said = "", way = "", what = ""], find) => {
      const rest = what.replace(/^of /, "");
      const measured = readAmount(said);
      // "A splash more lime" and "half a lime more" have their size in a word.
      const dose = measured ? { amount: measured, rest } : doseFirst(`${said} ${rest}`.trim(), find);
      const isLess = /^(?:less|fewer|off)$/.test(way);
      return dose && by(dose.rest, isLess ? negative(dose.amount) : dose.amount, find);
    },
  },
  {
    id: "another",
    example: "another dash of bitters",
    pattern: /^(?:add )?(?:another|an extra|an additional|one more|extra) (.+)$/,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose && by(dose.rest, dose.amount, find);
    },
  },
  {
    id: "set-to",
    example: "bring the lime to 1 oz",
    pattern:
      /^(?:make|set|bring|take|move|put|change|push|get|raise|increase|lower|reduce|drop|cut|have|use|keep) (.+)$/,
    read: ([said = ""], find) => {
      const dose = amountLast(said);
      return dose && !WHOLE.test(dose.rest) ? to(dose.rest, dose.amount, find) : null;
    },
  },
  {
    id: "add",
    example: "add 1/4 oz lime juice",
    pattern: /^(?:add|splash in|pour in|put in|stir in|throw in|drop in|include)(?: in)? (.+)$/,
    read: ([said = ""], find) => {
      // "Add egg white" is one.
      const dose = doseFirst(/^egg/.test(said) ? `an ${said}` : said, find);
      if (!dose) return trouble({ code: "no-amount", said });
      return by(dose.rest.replace(/^(?:more|extra) (?:of )?/, ""), dose.amount, find);
    },
  },
  {
    id: "take-out",
    example: "take out 1/4 oz of the rum",
    pattern: /^(?:take out|take away|take off|take|cut|remove|drop|lose|subtract|pull|hold back) (.+)$/,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose && by(dose.rest.replace(/^(?:from|off|out of) /, ""), negative(dose.amount), find);
    },
  },
  {
    id: "top-up",
    example: "top it with 1 oz of soda",
    pattern: /^(?:top|top up|fill|fill up|lengthen) (?:it|this|the drink|the glass)(?: up| off)? with (.+)$/,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose ? by(dose.rest, dose.amount, find) : trouble({ code: "no-amount", said });
    },
  },
  {
    id: "percent",
    example: "cut the honey syrup by 20 %",
    pattern:
      /^(raise|increase|up|lift|boost|lower|reduce|decrease|drop|cut|trim) (.+?) (?:by|down by|up by) (?:(\d+(?:\.\d+)?) ?(?:%|percent|per cent)|(a third|half|one third))$/,
    read: ([verb = "", what = "", percent, share], find) => {
      if (WHOLE.test(what)) return null;
      const part = percent === undefined ? (share === "half" ? 1 / 2 : 1 / 3) : Number(percent) / 100;
      return byShare(what, RAISES.test(verb) ? part : -part, find);
    },
  },
  {
    id: "percent-less",
    example: "20 % less honey syrup",
    pattern:
      /^(?:use |with )?(?:(\d+(?:\.\d+)?) ?(?:%|percent|per cent)|(a third)) (more|less)(?: of)? (.+)$/,
    read: ([percent, , way = "", what = ""], find) => {
      const part = percent === undefined ? 1 / 3 : Number(percent) / 100;
      return byShare(what, way === "more" ? part : -part, find);
    },
  },
  {
    id: "leave-out",
    example: "leave out the bitters",
    pattern:
      /^(?:leave out|leave off|omit|drop|skip|lose|remove|ditch|cut|cut out|take out|take away|go without|do without|without|no|hold) (.+?)(?: altogether| entirely| completely| out)?$|^(?:leave|take|cut) (.+?) out$/,
    read: ([a, b], find) => without(a ?? b ?? "", find),
  },
  {
    id: "use",
    example: "use 3/4 oz of lime juice",
    pattern: /^(?:use |pour |put |put in |go with |have |with |only |just |do )*(.+)$/,
    read: ([said = ""], find) => {
      const dose = doseFirst(said, find);
      return dose && dose.rest !== "" ? to(dose.rest, dose.amount, find) : null;
    },
  },
  {
    id: "use-its-kind",
    example: "use agave syrup",
    pattern: /^(?:use|try|go with|have) (?:a |an |some )?(?!more |less )(.+)$/,
    read: ([said = ""], find) => {
      const found = find(said);
      return "id" in found && !mine(found.id, find) ? swapForItsKind(said, find) : null;
    },
  },
  {
    id: "bare-set",
    example: "lime at 1 oz",
    pattern: /^(.+)$/,
    read: ([said = ""], find) => {
      const dose = amountLast(said);
      return dose && to(dose.rest, dose.amount, find);
    },
  },
  {
    id: "bare-for",
    example: "maple syrup for the honey",
    pattern: /^(.+?) for (.+)$/,
    read: ([into = "", out = ""], find) => {
      const [a, b] = [find(into), find(out)];
      return "id" in a && "id" in b && mine(b.id, find) ? changes({ ingredient: b.id, swapFor: a.id }) : null;
    },
  },
];
