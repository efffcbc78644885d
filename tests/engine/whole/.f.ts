import { solveLinear } from "../../../engine/linalg.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
let s = 1;
const rnd = () => (s = (s * 16807) % 2147483647) / 2147483647;
const P0 = 20;
const out: string[] = [];
for (const d of data.drinks) {
  if (!["shaken", "stirred", "built"].includes(d.spec.method)) continue;
  const p = prepareSpec({ ...d.spec, dilution: { model: "energy" } }, pantry);
  const hi = p.volumesMl.map((v) => 2 * v + 60);
  const pts = (n: number, box?: [number[], number[]]) => {
    const F: number[][] = [],
      W: number[] = [];
    while (F.length < n) {
      const kind = F.length % 3;
      const radial = kind === 0 ? 1 : rnd() ** 2;
      const x = hi.map((h, i) =>
        box
          ? box[0][i]! + rnd() * (box[1][i]! - box[0][i]!)
          : kind === 2 && rnd() < 0.6
            ? p.volumesMl[i]!
            : h * rnd() * radial * (rnd() < 0.3 ? 0 : 1),
      );
      let P = 0,
        E = 0,
        S = 0,
        A = 0;
      p.model.coeffs.forEach((c, i) => {
        if (p.model.stages[i] !== "mix") return;
        P += x[i]!;
        E += x[i]! * c.ethanolMl;
        S += x[i]! * c.sugarG;
        A += x[i]! * c.acidG;
      });
      if (P < 0.5) continue;
      F.push([(E * E) / P, E, P, S, A, 1]);
      W.push(p.model.finish(x).waterMl);
    }
    return { F, W };
  };
  const fitOn = (tr: any, te: any, P0: number) => {
    const w = tr.F.map((f: number[]) => 1 / (f[2]! + P0));
    const k = 6;
    const sc = Array.from(
      { length: k },
      (_, a) =>
        Math.sqrt(tr.F.reduce((t: number, f: number[], i: number) => t + (f[a]! * w[i]) ** 2, 0)) || 1,
    );
    const N = Array.from({ length: k }, (_, a) =>
      Array.from({ length: k }, (_, b) =>
        tr.F.reduce(
          (t: number, f: number[], i: number) => t + (f[a]! * f[b]! * w[i] ** 2) / sc[a]! / sc[b]!,
          a === b ? 1e-9 : 0,
        ),
      ),
    );
    const R = Array.from({ length: k }, (_, a) =>
      tr.F.reduce((t: number, f: number[], i: number) => t + (f[a]! * tr.W[i] * w[i] ** 2) / sc[a]!, 0),
    );
    const c = solveLinear(N, R)!.map((v, a) => v / sc[a]!);
    const err = (D: any) =>
      Math.max(
        ...D.F.map(
          (f: number[], i: number) =>
            Math.abs(f.reduce((t, v, j) => t + v * c[j]!, 0) - D.W[i]) / (f[2]! + P0),
        ),
      );
    return [err(tr), err(te), c];
  };
  const t0 = performance.now();
  const tr = pts(200);
  const [a, b, c] = fitOn(tr, pts(5000), P0) as any;
  const box: [number[], number[]] = [
    p.volumesMl.map((v) => Math.max(0, v - 10)),
    p.volumesMl.map((v) => v + 10),
  ];
  const [a2, b2] = fitOn(pts(60, box), pts(2000, box), 0) as any;
  out.push(
    `${d.id.padEnd(22)} train ${a.toFixed(4)} test ${b.toFixed(4)} | local ±10 mL train ${a2.toFixed(5)} test ${b2.toFixed(5)} ${c.map((z: number) => z.toFixed(2))}`,
  );
}
console.log(out.filter((_, i) => i % 3 === 0).join("\n"));
