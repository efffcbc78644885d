/** "a", "a and b", "a, b and c", or with another word before the last; nothing gives "". */
export function joinWords(words: readonly string[], last = "and"): string {
  return words.length < 2 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} ${last} ${words.at(-1)}`;
}

/** The text with its first letter upper case. */
export function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** The text with its first letter lower case. */
export function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

/** An ingredient's name without what qualifies it: "Rum, aged" and "Rum (aged)" are "Rum". */
export function shortName(name: string): string {
  return name.replace(/\s*[,(].*$/, "");
}

/** The words of a name that may tell it from others, in lower case: three letters or more. */
export function nameWords(name: string): string[] {
  return name.toLowerCase().match(/\p{L}{3,}/gu) ?? [];
}

/** "8.1 ± 0.4". */
export function plusMinus({ value, sd }: { value: number; sd: number }, digits: number): string {
  return `${value.toFixed(digits)} ± ${sd.toFixed(digits)}`;
}

/** The sentence of each code, by its facts. */
export type Sentences<T extends { code: string }> = {
  [C in T["code"]]: (facts: Extract<T, { code: C }>) => string;
};

/** What a table of sentences has words for: each code, with the facts that its sentence is made from. */
export type FactsOf<S> = {
  [C in keyof S]: S[C] extends (facts: infer F) => string ? { code: C } & F : never;
}[keyof S];

/** The sentence that facts with a code give. */
export function sentenceOf<T extends { code: string }>(sentences: Sentences<T>, facts: T): string {
  return (sentences[facts.code as T["code"]] as (facts: T) => string)(facts);
}
