import { createApp } from "../../api/app.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

// The most memory that placing many drinks in one request takes, against placing a tenth as many.

const FEW = 3000;
const MANY = 10 * FEW;

export interface LinesBench {
  /** Peak memory over the start, many drinks over few. */
  ratio: number;
}

/** Peak of resident memory while that many drinks are placed, MB. */
async function peakMb(count: number): Promise<number> {
  const app = createApp({ data: loadReferenceData() });
  const line = `${JSON.stringify({ spec: { text: "2 oz aged rum\n1 oz lime juice", method: "shaken" } })}\n`;
  let sent = 0;
  const body = new ReadableStream<Uint8Array>({
    pull(controller) {
      if (sent === count) return controller.close();
      sent += 1;
      controller.enqueue(new TextEncoder().encode(line));
    },
  });
  const init = { method: "POST", headers: { "Content-Type": "application/x-ndjson" }, body, duplex: "half" };
  const response = await app.request(new Request("http://localhost/v1/place", init as RequestInit));
  let peak = 0;
  let answers = 0;
  for await (const _ of response.body!) {
    answers += 1;
    if (answers % 100 === 0) peak = Math.max(peak, process.memoryUsage().rss);
  }
  if (answers !== count) throw new Error(`${count} asked, ${answers} answered`);
  return peak / 1e6;
}

export async function benchLines(): Promise<LinesBench> {
  await peakMb(FEW);
  const few = await peakMb(FEW);
  return { ratio: (await peakMb(MANY)) / few };
}
