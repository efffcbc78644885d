import { z } from "zod";
import { benchShape, roundShape } from "../../engine/shapes/bench.ts";

z.globalRegistry.add(roundShape, { id: "Round" });
z.globalRegistry.add(benchShape, { id: "Bench" });

export const DemoSchema = z.object({ bench: benchShape }).meta({ id: "Demo" });
