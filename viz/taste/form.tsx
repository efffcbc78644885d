import type { ValuesOf } from "../../engine/bench/records.ts";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { Field } from "../parts/field.tsx";
import { LIKING_WORDS, MARK_WORDS, MARKS, markWords, WORD_GROUPS, wordText } from "./words.ts";

/** What a taster says of one glass. */
export type Said = Pick<ValuesOf<"tasting">, "liking" | "sweet" | "sour" | "strong" | "words" | "notes">;

export const NOTHING_SAID: Said = {
  liking: null,
  sweet: null,
  sour: null,
  strong: null,
  words: [],
  notes: "",
};

/** Whether anything was said at all. */
export const isBlank = ({ liking, sweet, sour, strong, words, notes }: Said): boolean =>
  [liking, sweet, sour, strong].every((x) => x === null) && words.length === 0 && notes.trim() === "";

/** A row of buttons of which one or none is pressed; pressed again it is let go. */
function Scale<T extends number>({
  title,
  said,
  value,
  options,
  onChoose,
}: {
  title: string;
  said: string;
  value: T | null;
  options: readonly { value: T; words: string; short: string }[];
  onChoose: (value: T | null) => void;
}) {
  return (
    <fieldset class="scale" data-points={options.length}>
      <legend>
        {title} <span class="scale-said">{said}</span>
      </legend>
      <div class="scale-row">
        {options.map((option) => (
          <button
            key={option.value}
            type="button"
            aria-pressed={option.value === value}
            aria-label={`${title}: ${option.words}`}
            onClick={() => onChoose(option.value === value ? null : option.value)}
          >
            {option.short}
          </button>
        ))}
      </div>
      <p class="scale-ends" aria-hidden="true">
        <span>{options[0]!.words}</span>
        <span>{options.at(-1)!.words}</span>
      </p>
    </fieldset>
  );
}

const LIKINGS = LIKING_WORDS.map((words, i) => ({ value: i + 1, words, short: String(i + 1) }));
const MARK_OPTIONS = MARK_WORDS.map(({ mark, words, short }) => ({ value: mark, words, short }));

/** The form for one glass: liking, three just-about-right marks, words, notes. Everything may be left out. */
export function GlassForm({ said, onSay }: { said: Said; onSay: (said: Said) => void }) {
  const tick = (word: string) => {
    const rest = said.words.filter((other) => other !== word);
    const words = rest.length < said.words.length ? rest : [...rest, word];
    if (words.length <= MOST.tastingWords) onSay({ ...said, words });
  };
  return (
    <div class="glass-form">
      <Scale
        title="Liking"
        said={said.liking === null ? "" : LIKING_WORDS[said.liking - 1]!}
        value={said.liking}
        options={LIKINGS}
        onChoose={(liking) => onSay({ ...said, liking })}
      />
      {MARKS.map(({ name, title }) => {
        const mark = said[name] as (typeof MARK_OPTIONS)[number]["value"] | null;
        return (
          <Scale
            key={name}
            title={title}
            said={mark === null ? "" : markWords(mark)}
            value={mark}
            options={MARK_OPTIONS}
            onChoose={(value) => onSay({ ...said, [name]: value })}
          />
        );
      })}
      {WORD_GROUPS.map(({ title, words }) => (
        <fieldset class="ticks" key={title}>
          <legend>{title}</legend>
          {words.map((word) => (
            <button
              key={word}
              type="button"
              aria-pressed={said.words.includes(word)}
              onClick={() => tick(word)}
            >
              {wordText(word)}
            </button>
          ))}
        </fieldset>
      ))}
      <Field label="Anything else">
        {(ids) => (
          <textarea
            {...ids}
            rows={2}
            maxLength={LONGEST.note}
            value={said.notes}
            onInput={(event) => onSay({ ...said, notes: event.currentTarget.value })}
          />
        )}
      </Field>
    </div>
  );
}
