import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { createApp } from "../../api/app.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

// Answers that are ready in one turn of the event loop leave together (`api/frame.ts`), so that whoever reads them is
// woken once. Two timers set for the same time run in one turn, with what each leaves to do at once done between them.

const app = createApp({ data: loadReferenceData(), engineVersion: "0.0.0-test" });

function events() {
  const seen: string[] = [];
  const note = (what: string) => seen.push(what);
  const ask = async (who: string) => {
    const { status } = await app.request("/healthz");
    note(`${who} has ${status}`);
  };
  return { seen, note, ask };
}

/** The clock stands but for the work that a test does, so that a busy machine makes no turn long. */
let nowMs = 0;
beforeEach(() => {
  vi.spyOn(performance, "now").mockImplementation(() => nowMs);
});
afterEach(() => {
  vi.restoreAllMocks();
});

/** Two ask in one turn, the second after so much work of others; what came after what. */
async function twoAsk(workMs: number): Promise<string[]> {
  const { seen, note, ask } = events();
  await app.request("/healthz");
  const first = new Promise<void>((done) =>
    setTimeout(() => {
      setImmediate(() => note("the turn ends"));
      void ask("first").then(done);
    }, 1),
  );
  const second = new Promise<void>((done) =>
    setTimeout(() => {
      note("second asks");
      nowMs += workMs;
      void ask("second").then(done);
    }, 1),
  );
  const over = new Promise((done) => setTimeout(done, 20));
  await Promise.all([first, second, over]);
  return seen;
}

test("answers of one turn leave together at its end", async () => {
  expect(await twoAsk(0)).toEqual(["second asks", "the turn ends", "first has 200", "second has 200"]);
});

test("of a turn that takes long they leave before its end", async () => {
  expect(await twoAsk(5)).toEqual(["second asks", "first has 200", "second has 200", "the turn ends"]);
});

test("an answer that nobody shares waits for no other turn", async () => {
  const { seen, note, ask } = events();
  await new Promise<void>((done) =>
    setTimeout(() => {
      setImmediate(() =>
        setImmediate(() => {
          note("the next turn ends");
          done();
        }),
      );
      void ask("lone");
    }, 1),
  );
  expect(seen).toEqual(["lone has 200", "the next turn ends"]);
});
