const WARM_UP_MS = 500;
const MEASURE_MS = 800;

/**
 * Whole turns through the cases until the processor's time is up: what other work takes from the machine
 * meanwhile does not count, and warming up is not cut short by it.
 */
function callsPerSecond(variant: (i: number) => number, count: number, ms: number) {
  let calls = 0;
  let sum = 0;
  const start = process.cpuUsage();
  let usedUs = 0;
  while (usedUs < ms * 1000) {
    for (let i = 0; i < count; i += 1) sum += variant(i);
    calls += count;
    const { user, system } = process.cpuUsage(start);
    usedUs = user + system;
  }
  return { perSecond: (calls / usedUs) * 1e6, sum };
}

/**
 * Time the variant named on the command line, in this process alone, and print its calls per second of
 * processor time as JSON. Each
 * variant takes the number of a case and returns a number, summed and printed, so that nothing can be left out
 * as unused.
 */
export function timeVariant(count: number, variants: Record<string, (i: number) => number>): void {
  const name = process.argv[2] ?? "";
  const variant = variants[name];
  if (!variant) throw new Error(`no variant "${name}": ${Object.keys(variants).join(", ")}`);
  callsPerSecond(variant, count, WARM_UP_MS);
  console.log(JSON.stringify({ variant: name, ...callsPerSecond(variant, count, MEASURE_MS) }));
}
