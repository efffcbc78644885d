import { z } from "@hono/zod-openapi";
import { strictObject } from "./strict.ts";

export const Vec3Schema = z
  .tuple([z.number(), z.number(), z.number()])
  .readonly()
  .openapi("Vec3", { description: "Axis order: sugar g/100 mL, acid g/100 mL, ABV % vol." });

export const Mat3Schema = z
  .tuple([Vec3Schema, Vec3Schema, Vec3Schema])
  .readonly()
  .openapi("Mat3", { description: "Rows and columns in the axis order of Vec3, in squared axis units." });

export const PointSchema = strictObject({
  sugarGPer100Ml: z.number().openapi({ description: "Sum of the sugars, g per 100 mL of finished drink." }),
  acidGPer100Ml: z
    .number()
    .openapi({ description: "Titratable acidity as anhydrous citric acid, g per 100 mL of finished drink." }),
  abvPercent: z.number().openapi({ description: "% vol of the finished drink at 20 °C." }),
}).openapi("Point");
