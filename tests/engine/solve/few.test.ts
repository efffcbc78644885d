/** Pours of one or two ingredients are tried first: an answer is there before the search has begun. */
import { expect, test } from "vitest";
import { solve } from "../../../engine/solve/solve.ts";
import { bruteForce } from "./checker.ts";
import { randomRequest } from "./random-request.ts";

test("a search stopped at its first step has the least pour of one or two, if there is one", () => {
  let answered = 0;
  for (let seed = 0; seed < 80; seed += 1) {
    const request = randomRequest(91_000 + seed, {
      lines: 3,
      additions: 1,
      stepMl: 7.5,
      dilution: seed % 2 === 0 ? "regression" : "energy",
    });
    const { fewest } = bruteForce(request);
    if (fewest?.touched === 0) continue;
    const { proposals } = solve({ ...request, nodeLimit: 1, count: 1 });
    if (fewest === null) {
      expect(proposals, `seed ${seed}`).toEqual([]);
    } else if (fewest.touched <= 2) {
      expect(proposals[0]?.touched, `seed ${seed}`).toBe(fewest.touched);
      expect(proposals[0]?.volumeChangedMl, `seed ${seed}`).toBeCloseTo(fewest.volume, 6);
      answered += 1;
    }
  }
  expect(answered).toBeGreaterThan(20);
});
