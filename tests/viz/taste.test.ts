import { describe, expect, test } from "vitest";
import { readPart } from "../../viz/state/codec/target-part.ts";
import { bestLiked } from "../../viz/taste/liked.ts";
import { seatAddress, seatOf } from "../../viz/taste/seat.ts";

const SECRET = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOP_";

describe("a taster's address", () => {
  test("carries the secret behind #, where no server sees it, and is read back", () => {
    const address = new URL(seatAddress("http://bar.example", SECRET));
    expect(address.pathname + address.search).toBe("/taste");
    expect(seatOf(address)).toBe(SECRET);
  });

  test.each([
    ["too short a secret", "/taste", `#seat=${SECRET.slice(1)}`],
    ["another room", "/bench", `#seat=${SECRET}`],
    ["a bench's tasting room", "/taste/some-bench", ""],
  ])("%s is none", (_, pathname, hash) => {
    expect(seatOf({ pathname, hash })).toBeNull();
  });
});

describe("a table's range in a link", () => {
  test("numbers that are no covariance are left out and not drawn", () => {
    expect(readPart("table:7,0.7,15,0.4,0.9,0,0.006,0,1.1,2")).toBeNull();
    expect(readPart("table:7,0.7,15,0.4,0,0,0.006,0,1.1")).toBeNull();
    expect(readPart("table:7,0.7,15,0.4,0,0,0.006,0,1.1,2")?.kind).toBe("table");
  });
});

describe("the round liked best", () => {
  const given = (round: string, ...likings: (number | null)[]) =>
    likings.map((liking) => ({ round, liking }));

  test("is the one of the highest mean, whatever number of tasters had it", () => {
    expect(bestLiked([...given("a", 6, 6, 6, 6), ...given("b", 7, 6), ...given("c", 9, 3)])).toBe("b");
  });

  test("a taster who gave no liking does not count, and where nobody did there is none", () => {
    expect(bestLiked([...given("a", null, 5), ...given("b", 4, 4)])).toBe("a");
    expect(bestLiked(given("a", null))).toBeNull();
    expect(bestLiked([])).toBeNull();
  });
});
