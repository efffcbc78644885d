/** One line of the results: how much of the yardstick's time, requests or bytes ours takes. */
export interface BenchRow {
  what: string;
  /** The yardstick, run or weighed in the same run. */
  against: string;
  /** What is divided by what: "time", "requests/s", "bytes". */
  of: string;
  ratio: number;
  /** Smallest and largest round, where there were rounds; for simulated tables the 95 % interval. */
  range?: { low: number; high: number };
}

/** What is kept in results.json: each bench's rows of its last kept run, with the date and versions of the newest. */
export interface BenchResults {
  date: string;
  node: string;
  cores: number;
  versions: Record<string, string>;
  rows: (BenchRow & { bench: string })[];
}

const two = (x: number) => String(Number(x.toPrecision(2)));

/** Two figures; small ratios as parts, 0.0096 as "1/100". */
const number = (x: number) => (x < 0.5 ? `1/${two(1 / x)}` : two(x));

const escaped = (text: string) => text.replace(/\|/g, "\\|");

/** The results as the Markdown table of the README. */
export function benchTable({ rows }: BenchResults): string {
  const line = (cells: string[]) => `| ${cells.map(escaped).join(" | ")} |`;
  return [
    line(["What", "Against, in the same run", "Ratio of", "Ours ÷ theirs", "Range"]),
    line(["---", "---", "---", "--:", "--:"]),
    ...rows.map((r) =>
      line([
        r.what,
        r.against,
        r.of,
        number(r.ratio),
        r.range ? `${number(r.range.low)}–${number(r.range.high)}` : "",
      ]),
    ),
  ].join("\n");
}
