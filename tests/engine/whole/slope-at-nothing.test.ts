import { expect, test } from "vitest";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { sensitivityOf } from "../../../engine/place/sensitivity.ts";
import { PANTRY } from "./arbitrary-request.ts";

test("the energy balance's slope where there is no spirit, sugar or acid yet is that of the first drops", () => {
  const base = ["water", "rum-white", "sugar", "citric-acid"].map((id) => PANTRY.get(id)!);
  const model = createMixModel(
    base.map((ingredient) => ({ ingredient, stage: "mix" as const })),
    "shaken",
    { model: "energy" },
  );
  const pours = [60, 0, 0, 0];
  const at = sensitivityOf(model, pours);
  for (const line of [1, 2, 3]) {
    const step = 1e-3;
    const more = pours.map((ml, i) => (i === line ? step : ml));
    const slope = (model.finish(more).finishedVolumeMl - at.finished.finishedVolumeMl) / step;
    // Forward difference: right to about its step.
    expect(Math.abs(at.pour(line)[3] - slope), base[line]!.id).toBeLessThan(5e-3 * Math.abs(slope));
  }
});
