import type { Ingredient, Pantry, Role } from "../../../engine/types.ts";

type Extra = Partial<Ingredient> & { abv?: number; aliases?: string[] };

function make(id: string, name: string, role: Role, extra: Extra = {}): [string, Ingredient] {
  const { abv = 0, ...rest } = extra;
  const value = (x: number, sd = 0) => ({ value: x, sd, source: "stand-in" });
  return [
    id,
    {
      id,
      name,
      role,
      aliases: [],
      abvPercent: value(abv),
      sugarsGPer100Ml: {},
      acidsGPer100Ml: {},
      densityGPerMl: value(1),
      ...rest,
    },
  ];
}

const size = (value: number, sd: number) => ({ value, sd, source: "stand-in" });

/** A small invented pantry for the reader's own tests; figures mean nothing. */
export const STAND_IN_PANTRY: Pantry = new Map([
  make("rum-white", "White rum, 40 %", "spirit", { abv: 40, aliases: ["white rum", "light rum"] }),
  make("rum-aged", "Aged rum, 40 %", "spirit", { abv: 40, aliases: ["aged rum", "gold rum", "ron añejo"] }),
  make("rum-overproof", "Overproof rum, 63 %", "spirit", { abv: 63, aliases: ["overproof rum"] }),
  make("gin", "Gin, 40 %", "spirit", { abv: 40, aliases: ["gin", "dry gin"] }),
  make("gin-navy", "Navy-strength gin, 57 %", "spirit", { abv: 57, aliases: ["navy strength gin"] }),
  make("bourbon-40", "Bourbon, 40 %", "spirit", { abv: 40, aliases: ["bourbon"] }),
  make("bourbon-50", "Bourbon, 50 %", "spirit", { abv: 50, aliases: ["bonded bourbon"] }),
  make("wine-red", "Dry red wine", "wine", { abv: 13, aliases: ["red wine"], addAfterDilution: true }),
  make("juice-lemon", "Lemon juice", "sour-juice", {
    aliases: ["lemon", "lemon juice"],
    pieceMl: size(45, 8),
  }),
  make("juice-lime", "Lime juice", "sour-juice", { aliases: ["lime", "lime juice"], pieceMl: size(30, 6) }),
  make("juice-grapefruit-pink", "Pink grapefruit juice", "sour-juice", { aliases: ["pink grapefruit"] }),
  make("juice-grapefruit-white", "White grapefruit juice", "sour-juice", { aliases: ["white grapefruit"] }),
  make("syrup-simple-1-1", "Simple syrup 1:1", "syrup", {
    aliases: ["simple syrup", "sugar syrup", "simple"],
    syrup: { family: "simple", ratio: "1:1" },
  }),
  make("syrup-simple-2-1", "Rich simple syrup 2:1", "syrup", {
    aliases: ["rich simple syrup", "rich syrup", "gomme"],
    syrup: { family: "simple", ratio: "2:1" },
  }),
  make("syrup-cane-2-1", "Cane syrup 2:1", "syrup", {
    aliases: ["cane syrup"],
    syrup: { family: "cane", ratio: "2:1" },
  }),
  make("honey-1-1", "Honey syrup 1:1", "syrup", {
    aliases: ["honey syrup"],
    syrup: { family: "honey", ratio: "1:1" },
  }),
  make("honey-3-1", "Honey syrup 3:1", "syrup", {
    aliases: ["rich honey syrup"],
    syrup: { family: "honey", ratio: "3:1" },
  }),
  make("sugar", "Granulated sugar", "sugar", {
    aliases: ["sugar", "superfine sugar"],
    densityGPerMl: size(0.85, 0.04),
  }),
  make("citric", "Citric acid", "acid", { aliases: ["citric acid"], densityGPerMl: size(1.66, 0) }),
  make("bitters-aromatic", "Aromatic bitters", "bitters", {
    abv: 44,
    aliases: ["bitters", "aromatic bitters"],
  }),
  make("bitters-orange", "Orange bitters", "bitters", { abv: 40, aliases: ["orange bitters"] }),
  make("egg-white", "Egg white", "egg", { aliases: ["egg white", "white of egg"], pieceMl: size(30, 4) }),
  make("soda", "Soda water", "lengthener", {
    aliases: ["soda", "soda water", "club soda"],
    addAfterDilution: true,
  }),
]);
