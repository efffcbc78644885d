import { EngineError, type FieldIssue, fail, under } from "../errors.ts";
import { densityOf } from "../mix/coefficients.ts";
import type { Ingredient, Pantry, SourcedValue, Spec } from "../types.ts";
import { buffersOf, phFigure } from "./adjust.ts";
import { applyMeasurements } from "./apply-measurements.ts";
import { type Amount, combine, computed, inMl, lostShare, mixtureOf, mlOf, toIngredient } from "./combine.ts";
import { addDays, readDate } from "./dates.ts";
import { allergensOf, cautionsOfPrep, keepingOf } from "./keeping.ts";
import { own, USUAL_SD } from "./measure.ts";
import { crystalRisks } from "./syrup.ts";
import type { CompiledPrep, Composition, Prep, PrepLabel } from "./types.ts";

/** Every prep that could be worked out, and what is wrong with the others. */
export interface CompiledPreps {
  /** By id, parts before the wholes they go into. */
  compiled: ReadonlyMap<string, CompiledPrep>;
  failed: ReadonlyMap<string, readonly FieldIssue[]>;
}

/**
 * Turn records into ingredients. A prep may hold other preps: they are worked out first, and changing one changes
 * all that hold it at the next call. A prep that holds itself, at any depth, and one with a part nobody knows are
 * reported by id and spoil only what holds them.
 */
export function compilePreps(preps: readonly Prep[], pantry: Pantry): CompiledPreps {
  const records = new Map(preps.map((p) => [p.id, p]));
  const compiled = new Map<string, CompiledPrep>();
  const failed = new Map<string, readonly FieldIssue[]>();

  const visit = (prep: Prep, path: readonly string[]): CompiledPrep => {
    const done = compiled.get(prep.id);
    if (done) return done;
    if (path.includes(prep.id)) {
      const names = [...path.slice(path.indexOf(prep.id)), prep.id].map((id) => records.get(id)!.name);
      fail("/parts", `it would hold itself: ${names.join(" → ")}`, "take one of these out of another");
    }
    const parts = prep.parts.map((part, i) => {
      const inner = records.get(part.ingredient);
      if (inner) {
        const result = under(`/parts/${i}`, () => visit(inner, [...path, prep.id]));
        return { ...part, ingredient: result.ingredient, inner: result };
      }
      const ingredient =
        pantry.get(part.ingredient) ??
        fail(
          `/parts/${i}/ingredient`,
          `"${part.ingredient}" is neither in the pantry nor a prep`,
          "choose an ingredient, or make the prep first",
        );
      return { ...part, ingredient, inner: null };
    });
    const result = compileOne(prep, parts);
    compiled.set(prep.id, result);
    return result;
  };

  for (const prep of preps) {
    try {
      visit(prep, []);
    } catch (error) {
      if (!(error instanceof EngineError)) throw error;
      failed.set(prep.id, error.issues);
    }
  }
  return { compiled, failed };
}

/** The pantry with the preps in it, for everything that places or solves. */
export function withPreps(pantry: Pantry, { compiled }: CompiledPreps): Pantry {
  return new Map([...pantry, ...[...compiled].map(([id, c]) => [id, c.ingredient] as const)]);
}

interface Inner extends Amount {
  inner: CompiledPrep | null;
}

function compileOne(prep: Prep, parts: readonly Inner[]): CompiledPrep {
  readDate(prep.madeOn, "/madeOn");
  const { simmered, steeped = [], measured = [] } = prep;
  // The weights may be of a part of the batch, or with the pan's lid: the share is what counts.
  const mixed = combine(parts, simmered ? lostShare(simmered) * mixtureOf(parts).massG : 0);
  const cations = mixedCations(parts, mixed);
  const named = toIngredient(mixed, {
    id: prep.id,
    name: prep.name,
    role: prep.role,
    ...(cations && { cationsMeqPerL: cations }),
    ...(prep.note !== undefined && { note: prep.note }),
  });
  const { ingredient, replaced } = applyMeasurements(named, measured);
  const composition = replaced.length > 0 ? measuredComposition(mixed, ingredient) : mixed;
  const reading = measured.find((m) => m.kind === "ph");
  const ph = reading ? own(reading.ph, reading.sd ?? USUAL_SD.ph) : phFigure(ingredient);
  const facts = {
    composition,
    parts: parts.map((p) => p.ingredient),
    steeped,
    storage: prep.storage,
    simmered: simmered !== undefined,
    ph: ph?.value ?? null,
  };
  const cautions = cautionsOfPrep(facts);
  const keeping = keepingOf(facts);
  const inner = parts.flatMap((p) => p.inner ?? []);
  // Dates written year first sort as text.
  const useBy = [addDays(prep.madeOn, keeping.days), ...inner.map((p) => p.useBy)].sort()[0]!;
  return {
    prep,
    ingredient: { ...ingredient, ...(cautions.length > 0 && { cautions }) },
    composition,
    replaced,
    ph,
    crystals: crystalRisks(composition),
    keeping,
    useBy,
    cautions,
    contains: [...new Set(inner.flatMap((p) => [p.prep.id, ...p.contains]))],
    partNames: parts.toSorted((a, b) => gramsOf(b) - gramsOf(a)).map((part) => part.ingredient.name),
  };
}

const gramsOf = ({ ingredient, amount, unit }: Amount) =>
  unit === "g" ? amount : amount * densityOf(ingredient);

/** What buffers the mixture; undefined where a juice's minerals are not known. */
function mixedCations(parts: readonly Inner[], mixed: Composition): SourcedValue | undefined {
  let [value, variance, told] = [0, 0, false];
  for (const part of parts) {
    const { role, acidsGPer100Ml, cationsMeqPerL } = part.ingredient;
    const cations = buffersOf(part.ingredient);
    if (cations) {
      value += (cations.value * mlOf(part)) / mixed.volumeMl.value;
      variance += ((cations.sd * mlOf(part)) / mixed.volumeMl.value) ** 2;
    } else if (role === "acid") told = true;
    else if (Object.keys(acidsGPer100Ml).length > 0) return undefined;
    // Of tap water alone it is not asked.
    told ||= cationsMeqPerL !== undefined;
  }
  return told ? computed(value, Math.sqrt(variance)) : undefined;
}

/** The batch's composition after measuring: 100 mL of the corrected ingredient, scaled to the batch. */
function measuredComposition(mixed: Composition, ingredient: Ingredient): Composition {
  const hundred = combine([inMl(ingredient, 100)]);
  return {
    ...hundred,
    massG: mixed.massG,
    volumeMl: { ...mixed.volumeMl, value: mixed.massG.value / hundred.densityGPerMl.value },
    densityGPerMl: ingredient.densityGPerMl ?? hundred.densityGPerMl,
    abvPercent: ingredient.abvPercent,
    sugars: ingredient.sugarsGPer100Ml,
    acids: ingredient.acidsGPer100Ml,
  };
}

/** What a label carries; words and print are the page's. */
export function labelOf(compiled: CompiledPrep): PrepLabel {
  const { prep, composition, cautions } = compiled;
  return {
    name: prep.name,
    batch: prep.batch,
    madeOn: prep.madeOn,
    useBy: compiled.useBy,
    storage: compiled.keeping.storage,
    keptBecause: compiled.keeping.because,
    keepingSource: compiled.keeping.source,
    abvPercent: composition.abvPercent,
    sugarGPer100Ml: composition.sugarGPer100Ml,
    acidGPer100Ml: composition.acidGPer100Ml,
    solidsPercent: composition.solidsPercent,
    ph: compiled.ph,
    volumeMl: composition.volumeMl,
    ingredients: compiled.partNames,
    allergens: allergensOf(cautions),
    cautions,
  };
}

/** What a change of one prep (or pantry ingredient) touches: preps that hold it at any depth, and specs that use any of them. */
export function affectedBy<S extends Pick<Spec, "lines">>(
  id: string,
  preps: readonly Prep[],
  specs: readonly S[],
): { preps: Prep[]; specs: S[] } {
  const touched = new Set([id]);
  for (let grew = true; grew; ) {
    const more = preps.filter((p) => !touched.has(p.id) && p.parts.some((x) => touched.has(x.ingredient)));
    for (const p of more) touched.add(p.id);
    grew = more.length > 0;
  }
  return {
    preps: preps.filter((p) => p.id !== id && touched.has(p.id)),
    specs: specs.filter((s) => s.lines.some((line) => touched.has(line.ingredient))),
  };
}
