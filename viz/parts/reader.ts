import type { SpokenRecipe } from "../../engine/recipe/words.ts";

/** The reader of specs comes when it is first needed; it is a good part of the page's weight. */
export async function loadReader() {
  const [{ parseRecipe, withMade }, { spoken }] = await Promise.all([
    import("../../engine/recipe/parse-recipe.ts"),
    import("../../engine/recipe/words.ts"),
  ]);
  return {
    read: (...input: Parameters<typeof parseRecipe>): SpokenRecipe => spoken(parseRecipe(...input)),
    withMade,
  };
}

export type Reader = Awaited<ReturnType<typeof loadReader>>;
