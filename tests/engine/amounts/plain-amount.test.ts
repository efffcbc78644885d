import fc from "fast-check";
import { expect, test } from "vitest";
import { normaliseText } from "../../../engine/amounts/normalise.ts";
import { quantityAt } from "../../../engine/amounts/parse-quantity.ts";
import { plainAmount } from "../../../engine/amounts/plain-amount.ts";

const NUMBERS = (
  "0 1 2 12 60 1500 12345 .5 0.75 22.5 0.123456789 1. 1.25.3 1/2 3/4 13/4 1/10 1/23 0/4 4/3 100/125 ½ ¾ 1½ ⅔ ½½ 5 " +
  "1:1 2- 1,5 ² 1²"
)
  .split(" ")
  .concat("1 1/2", "1  1/2", "1 ½", "2 30", "12345 1/2", "1 3/2", "1 3 /4", " 2", "");
const UNITS = (
  "oz oz. OZ Oz ml mL ML cl dash dashes ds part parts g kg tsp tbsp bar bsp fl l c drop piece whole proof abv % th y " +
  "years cup mil 2 öl gin é"
)
  .split(" ")
  .concat("bar spoon", "fl oz", "oz oz", "c c", "g2", "oz-", "oz,", "");
const TAILS = ["", " ", " gin", "  gin", " of gin", "gin", ". gin", ".gin", " 47 gin", "\u0301 gin", " é"];
const JOINERS = ["", " ", "  ", "-", "\u00a0"];

const written = fc
  .tuple(
    fc.constantFrom(...NUMBERS),
    fc.constantFrom(...JOINERS),
    fc.constantFrom(...UNITS),
    fc.constantFrom(...TAILS),
  )
  .map((parts) => parts.join(""));

test("a plain amount is what the full reading of it gives, and so is where it ends", () => {
  let plain = 0;
  fc.assert(
    fc.property(written, (text) => {
      const read = plainAmount(text);
      if (!read) return;
      plain += 1;
      const { amount, unit, head, end } = read;
      const whole = normaliseText(text).toLowerCase();
      expect(quantityAt(whole, 0)).toEqual({ amount, unit, end: head.length, notes: [], spelled: false });
      expect(normaliseText(`${head}${text.slice(end)}`)).toBe(normaliseText(text));
      expect(whole.startsWith(head.toLowerCase())).toBe(true);
    }),
    { numRuns: 20_000 },
  );
  expect(plain).toBeGreaterThan(1000);
});

test.each([
  ["2 oz gin", 2, "oz", "2 oz"],
  ["22.5mL lime", 22.5, "ml", "22.5mL"],
  ["1½ oz. gin", 1.5, "oz", "1 1/2 oz."],
  ["¾ Oz gin", 0.75, "oz", "3/4 Oz"],
  ["1 1/2 cups tea", 12, "oz", "1 1/2 cups"],
  ["2 dashes bitters", 2, "dash", "2 dashes"],
])("%s", (text, amount, unit, head) => {
  expect(plainAmount(text)).toMatchObject({ amount, unit, head });
});

test.each([
  "2 fl oz gin",
  "1 bar spoon syrup",
  "2 gin",
  "2 oz",
  "2 pieces ginger",
  "1/25 oz gin",
  "two oz gin",
  "",
])("%s is left to the full reading", (text) => {
  expect(plainAmount(text)).toBeNull();
});
