import { describe, expect, test } from "vitest";
import { bradleyTerry, type Pairing } from "../../engine/taste/panel/bradley-terry.ts";
import { fitLogistic } from "../../engine/taste/panel/logistic.ts";

const pairing = (
  first: string,
  second: string,
  firstWins: number,
  secondWins: number,
  ties = 0,
): Pairing => ({
  first,
  second,
  firstWins,
  secondWins,
  ties,
});

/** Strengths measured from one round's, with the standard error of that difference unknown to us: only strengths. */
function from(zero: string, pairings: Pairing[], options: Parameters<typeof bradleyTerry>[1] = {}) {
  const ranking = bradleyTerry(pairings, { reduceBias: false, ...options })!;
  const base = ranking.standings.find((s) => s.id === zero)!.strength;
  const of = (id: string) => ranking.standings.find((s) => s.id === id)!.strength - base;
  return { ranking, of };
}

describe("citations among four journals (A. Agresti, Categorical Data Analysis, 2002, p. 448; fit computed with an R package on its shipped data)", () => {
  const data = [
    pairing("Biometrika", "Comm Statist", 730, 33),
    pairing("Biometrika", "JASA", 498, 320),
    pairing("Biometrika", "JRSS-B", 221, 284),
    pairing("Comm Statist", "JASA", 68, 813),
    pairing("Comm Statist", "JRSS-B", 17, 276),
    pairing("JASA", "JRSS-B", 142, 325),
  ];

  test("maximum likelihood", () => {
    const { of, ranking } = from("Biometrika", data);
    expect(of("Comm Statist")).toBeCloseTo(-2.94907, 5);
    expect(of("JASA")).toBeCloseTo(-0.47957, 5);
    expect(of("JRSS-B")).toBeCloseTo(0.26895, 5);
    expect(ranking.deviance).toBeCloseTo(4.2934, 4);
    expect(ranking.standings.map((s) => s.id)).toEqual(["JRSS-B", "Biometrika", "JASA", "Comm Statist"]);
  });

  test("bias-reduced (Firth)", () => {
    const { of } = from("Biometrika", data, { reduceBias: true });
    expect(of("Comm Statist")).toBeCloseTo(-2.94438, 5);
    expect(of("JASA")).toBeCloseTo(-0.47908, 5);
    expect(of("JRSS-B")).toBeCloseTo(0.26853, 5);
  });

  test("standard errors of the differences from Biometrika", () => {
    const rows = data.map((p) => ({
      x: ["Comm Statist", "JASA", "JRSS-B"].map((id) => (p.first === id ? 1 : p.second === id ? -1 : 0)),
      wins: p.firstWins,
      trials: p.firstWins + p.secondWins,
    }));
    const fit = fitLogistic(rows)!;
    const se = fit.covariance.map((row, i) => Math.sqrt(row[i]!));
    [0.10255, 0.06059, 0.07083].forEach((printed, i) => {
      expect(se[i]).toBeCloseTo(printed, 5);
    });
  });
});

describe("baseball 1987 (Agresti 2002, Tables 10.10 and 10.11; estimates read in the package's own test and computed)", () => {
  // Home team: home wins–away wins against each visitor.
  const season: Record<string, Record<string, [number, number]>> = {
    Milwaukee: {
      Detroit: [4, 3],
      Toronto: [4, 2],
      "New York": [4, 3],
      Boston: [6, 1],
      Cleveland: [4, 2],
      Baltimore: [6, 0],
    },
    Detroit: {
      Milwaukee: [3, 3],
      Toronto: [4, 2],
      "New York": [4, 3],
      Boston: [6, 0],
      Cleveland: [6, 1],
      Baltimore: [4, 3],
    },
    Toronto: {
      Milwaukee: [2, 5],
      Detroit: [4, 3],
      "New York": [2, 4],
      Boston: [4, 3],
      Cleveland: [4, 2],
      Baltimore: [6, 0],
    },
    "New York": {
      Milwaukee: [3, 3],
      Detroit: [5, 1],
      Toronto: [2, 5],
      Boston: [4, 3],
      Cleveland: [4, 2],
      Baltimore: [6, 1],
    },
    Boston: {
      Milwaukee: [5, 1],
      Detroit: [2, 5],
      Toronto: [3, 3],
      "New York": [4, 2],
      Cleveland: [5, 2],
      Baltimore: [6, 0],
    },
    Cleveland: {
      Milwaukee: [2, 5],
      Detroit: [3, 3],
      Toronto: [3, 4],
      "New York": [4, 3],
      Boston: [4, 2],
      Baltimore: [2, 4],
    },
    Baltimore: {
      Milwaukee: [2, 5],
      Detroit: [1, 5],
      Toronto: [1, 6],
      "New York": [2, 4],
      Boston: [1, 6],
      Cleveland: [3, 4],
    },
  };
  const games = Object.entries(season).flatMap(([home, visitors]) =>
    Object.entries(visitors).map(([away, [won, lost]]) => pairing(home, away, won, lost)),
  );

  test("teams alone", () => {
    const { of, ranking } = from("Baltimore", games);
    const printed = {
      Boston: 1.1077,
      Cleveland: 0.6839,
      Detroit: 1.4364,
      Milwaukee: 1.5814,
      "New York": 1.2476,
      Toronto: 1.2945,
    };
    for (const [team, estimate] of Object.entries(printed)) expect(of(team)).toBeCloseTo(estimate, 4);
    expect(ranking.deviance).toBeCloseTo(44.053, 3);
  });

  test("with the advantage of playing at home: the same term as a first glass's", () => {
    const { of, ranking } = from("Baltimore", games, { order: true });
    const printed = {
      Boston: 1.1438,
      Cleveland: 0.7047,
      Detroit: 1.4754,
      Milwaukee: 1.6196,
      "New York": 1.2813,
      Toronto: 1.3271,
    };
    for (const [team, estimate] of Object.entries(printed)) expect(of(team)).toBeCloseTo(estimate, 4);
    expect(ranking.firstGlass!.estimate).toBeCloseTo(0.3023, 4);
    expect(ranking.firstGlass!.se).toBeCloseTo(0.1309, 4);
    expect(ranking.deviance).toBeCloseTo(38.643, 3);
  });
});

describe("strength of flavour in nine gels, with ties (A. Springall, Applied Statistics 22, 1973; data as shipped with an R package, fits computed)", () => {
  // Pair, wins of the second over the first, losses, ties. The labels of win and loss may be swapped in the
  // shipped data: the numbers test the fitting, and no direction is claimed.
  const pairs: [number, number, number, number, number][] = [
    [1, 2, 2, 16, 7],
    [1, 3, 0, 21, 1],
    [1, 4, 5, 10, 10],
    [1, 5, 2, 15, 7],
    [1, 6, 0, 22, 2],
    [1, 7, 12, 3, 9],
    [1, 8, 13, 9, 5],
    [1, 9, 10, 12, 3],
    [2, 3, 6, 11, 5],
    [2, 4, 17, 2, 7],
    [2, 5, 9, 6, 8],
    [2, 6, 8, 12, 6],
    [2, 7, 24, 2, 0],
    [2, 8, 16, 3, 5],
    [2, 9, 15, 2, 7],
    [3, 4, 22, 2, 4],
    [3, 5, 14, 4, 5],
    [3, 6, 11, 4, 7],
    [3, 7, 24, 1, 3],
    [3, 8, 22, 0, 3],
    [3, 9, 17, 2, 6],
    [4, 5, 3, 14, 9],
    [4, 6, 2, 18, 4],
    [4, 7, 12, 6, 5],
    [4, 8, 10, 6, 6],
    [4, 9, 8, 9, 11],
    [5, 6, 5, 11, 9],
    [5, 7, 20, 0, 2],
    [5, 8, 15, 2, 5],
    [5, 9, 13, 5, 9],
    [6, 7, 27, 1, 0],
    [6, 8, 19, 1, 5],
    [6, 9, 18, 2, 2],
    [7, 8, 2, 13, 8],
    [7, 9, 2, 21, 5],
    [8, 9, 6, 8, 8],
  ];

  test("one strength a gel, a tie half a win", () => {
    const games = pairs.map(([a, b, win, loss, tie]) => pairing(`${b}`, `${a}`, win, loss, tie));
    const { of, ranking } = from("1", games);
    const printed = [-1.539785, -2.223691, -0.269573, -1.284542, -1.923779, 0.862259, 0.002749, -0.412569];
    printed.forEach((estimate, i) => {
      expect(of(`${i + 2}`)).toBeCloseTo(estimate, 5);
    });
    expect(ranking.deviance).toBeCloseTo(14.41543, 5);
  });

  test("a surface over flavour and gel instead", () => {
    const level = (t: number) => ({
      flav: [0.6, 4.8, 9][(t - 1) % 3]!,
      gel: [0, 2.4, 4.8][Math.floor((t - 1) / 3)]!,
    });
    const terms = (t: number) => {
      const { flav, gel } = level(t);
      return [flav, gel, flav * flav, gel * gel, flav * gel];
    };
    const rows = pairs.map(([a, b, win, loss, tie]) => ({
      x: terms(b).map((value, k) => value - terms(a)[k]!),
      wins: win + tie / 2,
      trials: win + loss + tie,
    }));
    const fit = fitLogistic(rows)!;
    const printed = [-0.4119441, -0.3257763, 0.01565, 0.1050616, 0.0237588];
    const errors = [0.0659484, 0.1029897, 0.0063715, 0.0199828, 0.0084139];
    printed.forEach((estimate, i) => {
      expect(fit.estimates[i]).toBeCloseTo(estimate, 6);
      expect(Math.sqrt(fit.covariance[i]![i]!)).toBeCloseTo(errors[i]!, 6);
    });
    expect(fit.deviance).toBeCloseTo(15.46796, 5);
  });
});

test("a round that always won has a strength; rounds never linked have none", () => {
  const ranking = bradleyTerry([pairing("a", "b", 4, 0), pairing("b", "c", 3, 1)])!;
  expect(ranking.standings.map((s) => s.id)).toEqual(["a", "b", "c"]);
  expect(ranking.standings.every((s) => Number.isFinite(s.strength) && s.se > 0)).toBe(true);
  expect(bradleyTerry([pairing("a", "b", 1, 1), pairing("c", "d", 1, 1)])).toBeNull();
});
