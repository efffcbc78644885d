import { describe, expect, test } from "vitest";
import { blindCodes, servingOrder, servingOrders } from "../../../engine/bench/flight.ts";
import { EngineError } from "../../../engine/errors.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";

// Williams, Aust. J. Sci. Res. A 2 (1949) 149–168, in the standard form read in the R package crossdes: the
// squares of 3, 4, 5, 6 and 8 glasses. A whole square may start at any row.
const PRINTED: Record<number, string> = {
  3: "123 231 312 321 132 213",
  4: "1243 2314 3421 4132",
  5: "12534 23145 34251 45312 51423 43521 54132 15243 21354 32415",
  6: "126354 231465 342516 453621 564132 615243",
  8: "12837465 23148576 34251687 45362718 56473821 67584132 78615243 81726354",
};

describe("serving orders", () => {
  test.each(Object.entries(PRINTED))("of %s glasses are the printed Williams design", (count, rows) => {
    const ours = servingOrders(Number(count)).map((row) => row.map((glass) => glass + 1).join(""));
    expect(ours).toEqual(rows.split(" "));
  });

  test.each([1, 2, 3, 4, 5, 6, 7, 8])(
    "of %d: each glass in each place, and after each other, equally often",
    (count) => {
      const rows = servingOrders(count);
      const times = new Map<string, number>();
      for (const row of rows) {
        expect([...row].sort()).toEqual(Array.from({ length: count }, (_, glass) => glass));
        row.forEach((glass, place) => {
          const pairs = place === 0 ? [] : [`${row[place - 1]}>${glass}`];
          for (const key of [`${glass}@${place}`, ...pairs]) times.set(key, (times.get(key) ?? 0) + 1);
        });
      }
      const of = (sign: string) => [...times].filter(([key]) => key.includes(sign)).map(([, n]) => n);
      expect(of("@")).toEqual(Array<number>(count * count).fill(rows.length / count));
      const neighbours = count * (count - 1);
      expect(of(">")).toEqual(
        Array<number>(neighbours).fill((rows.length * (count - 1)) / Math.max(1, neighbours)),
      );
    },
  );

  test("go round when there are more tasters than rows", () => {
    expect(servingOrder(4, 6)).toEqual(servingOrders(4)[2]);
  });

  test.each([0, 9, 2.5])("of %d glasses are refused", (count) => {
    expect(() => servingOrders(count)).toThrow(EngineError);
  });
});

test("blind codes are different, of three digits, and the same for the same seed", () => {
  const codes = blindCodes(8, seededRandom(3));
  expect(new Set(codes).size).toBe(8);
  for (const code of codes) expect(code).toMatch(/^[1-9][0-9]{2}$/);
  expect(blindCodes(8, seededRandom(3))).toEqual(codes);
});
