import { expect, test, vi } from "vitest";
import { createCatalogue } from "../../api/catalogue.ts";
import { USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { familyTarget } from "../../engine/targets/family-target.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

vi.mock("../../engine/targets/family-target.ts", { spy: true });

test("each family region is computed once: when warmed, or when first asked for", async () => {
  const computed = vi.mocked(familyTarget);
  const catalogue = createCatalogue(loadReferenceData(), "test");
  expect(computed).not.toHaveBeenCalled();

  // Requests are answered between one region and the next.
  const warming = catalogue.warm();
  let turns = 0;
  let warm = false;
  void warming.then(() => (warm = true));
  while (!warm) {
    await new Promise(setImmediate);
    turns += 1;
  }
  const families = catalogue.targets(USUAL_COVERAGE).targets.filter((t) => t.origin === "reference-drinks");
  expect(families.length).toBeGreaterThan(3);
  expect(turns).toBeGreaterThanOrEqual(families.length);
  expect(computed).toHaveBeenCalledTimes(families.length);

  catalogue.targets(0.8);
  catalogue.targets(0.8);
  expect(computed).toHaveBeenCalledTimes(2 * families.length);
});

test("a caution named twice is said once, in the catalogue's order", () => {
  const { cautions } = loadReferenceData();
  const catalogue = createCatalogue(loadReferenceData(), "test");
  const [first, second] = cautions;
  const asked = [second!.id, first!.id, second!.id, "none such"];
  expect(catalogue.cautionsFor(asked)).toEqual([first, second]);
});
