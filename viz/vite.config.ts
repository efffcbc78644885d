import { defineConfig } from "vite";

const page = (name: string) => new URL(name, import.meta.url).pathname;

// The page is served by the API process at "/", from the files this build writes.
export default defineConfig({
  base: "./",
  worker: { format: "es" },
  build: {
    outDir: "../.build/viz",
    emptyOutDir: true,
    target: "es2022",
    rolldownOptions: { input: [page("index.html"), page("sources.html")] },
  },
});
