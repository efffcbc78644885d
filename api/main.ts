import module from "node:module";

// Where Node can keep what it compiled (22.1 and later), the next start need not compile it again.
(module as { enableCompileCache?: () => void }).enableCompileCache?.();

const { startServer } = await import("./server.ts");
startServer(new URL(import.meta.url));
