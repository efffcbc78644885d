import { startServer } from "./server.ts";

startServer(new URL(import.meta.url));
