import { isMainThread } from "node:worker_threads";

// One built file is both the server and its solver threads.
if (isMainThread) {
  const { startServer } = await import("./server.ts");
  startServer(new URL(import.meta.url));
} else {
  await import("./compute/worker.ts");
}
