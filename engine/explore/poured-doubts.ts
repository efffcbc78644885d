import { createMixModel, type MixModel } from "../dilution/model.ts";
import { pointCovariance } from "../place/covariance.ts";
import { usedRatioSd } from "../place/dilution-report.ts";
import { lineVolume, type PreparedSpec } from "../place/prepare-spec.ts";
import { type PouringContext, pouredIds, pouredLine } from "../solve/poured-spec.ts";
import type { DilutionChoice, Mat3 } from "../types.ts";

/** A line's doubt: standard uncertainty of its volume, mL, and whose it is. */
export type LineDoubt = Omit<ReturnType<typeof lineVolume>, "ml">;

const NOTHING_POURED: LineDoubt = { sdMl: 0, handSdMl: 0, doubt: { kind: "pour" } };

/**
 * The doubt of any pours of a request (mL; lines, then additions), worked out once as far as it goes: the same
 * as placing the spec that a proposal would write, a hundred times faster.
 */
export class PouredDoubts {
  /** What pours and ice are modelled with: lines, then additions. */
  readonly model: MixModel;

  /** By line, then mL. */
  private readonly known: readonly Map<number, LineDoubt>[];

  constructor(
    private readonly context: PouringContext,
    private readonly prepared: PreparedSpec,
  ) {
    const { spec, pantry } = context;
    const items = pouredIds(context).flatMap((id, i) => {
      const ingredient = pantry.get(id);
      const stage = prepared.model.stages[i] ?? (ingredient?.addAfterDilution ? "top" : "mix");
      return ingredient ? [{ ingredient, stage }] : [];
    });
    const from = items.map((_, i) => prepared.volumesMl[i] ?? 0);
    this.model = createMixModel(items, spec.method, spec.dilution, from);
    this.known = items.map(() => new Map());
  }

  /** Doubt of line i when `ml` of it is poured. */
  lineDoubt(i: number, ml: number): LineDoubt {
    if (ml === 0) return NOTHING_POURED;
    const known = this.known[i];
    const seen = known?.get(ml);
    if (seen) return seen;
    const { unitSettings } = this.context;
    const line = pouredLine(this.context, this.prepared, i, ml);
    const ingredient = this.model.ingredients[i];
    if (!ingredient || !line) return NOTHING_POURED;
    const found = lineVolume(line, i, ingredient, unitSettings);
    known?.set(ml, found);
    return found;
  }

  /** Covariance of the point of these pours. */
  covariance(volumesMl: readonly number[]): Mat3 {
    const lines = volumesMl.map((ml, i) => this.lineDoubt(i, ml));
    const { model } = this;
    const volumeSdsMl = lines.map((l) => l.sdMl);
    const volumeDoubts = lines.map((l) => l.doubt);
    const ratioSd = usedRatioSd(model, volumesMl, this.dilutionFor(volumesMl));
    return pointCovariance({ model, volumesMl, volumeSdsMl, volumeDoubts }, ratioSd).covariance;
  }

  /** A measured glass was measured on the old pours: its water per mL poured with ice is kept. */
  private dilutionFor(volumesMl: readonly number[]): DilutionChoice | undefined {
    const { dilution } = this.context.spec;
    if (dilution?.model !== "measured") return dilution;
    const pouredMl = volumesMl.reduce((sum, ml, i) => sum + (this.model.stages[i] === "mix" ? ml : 0), 0);
    return { model: "measured", waterMl: this.model.dilution.a0 * pouredMl, sdMl: dilution.sdMl };
  }
}
