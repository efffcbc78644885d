import { z } from "zod";
import { number } from "./number.ts";

const axis = z.number();

export const Vec3Schema = z
  .tuple([axis, axis, axis])
  .readonly()
  .meta({ id: "Vec3", description: "Axis order: sugar g/100 mL, acid g/100 mL, ABV % vol." });

export const Mat3Schema = z
  .tuple([Vec3Schema, Vec3Schema, Vec3Schema])
  .readonly()
  .meta({ id: "Mat3", description: "Rows and columns in the axis order of Vec3, in squared axis units." });

export const PointSchema = z
  .strictObject({
    sugarGPer100Ml: number("Sum of the sugars, g per 100 mL of finished drink."),
    acidGPer100Ml: number("Titratable acidity as anhydrous citric acid, g per 100 mL of finished drink."),
    abvPercent: number("% vol of the finished drink at 20 °C."),
  })
  .meta({ id: "Point" });
