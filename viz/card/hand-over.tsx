import { useState } from "preact/hooks";
import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import { isMeasured, pouredAs } from "../../engine/bench/along.ts";
import { toJsonLd } from "../../engine/card/json-ld.ts";
import { pantryOf } from "../../engine/card/make.ts";
import { type CardFormat, readCard } from "../../engine/card/read.ts";
import type { Card } from "../../engine/card/types.ts";
import { toCsv, toJson, toMarkdown, toText } from "../../engine/card/write.ts";
import { reasonOf } from "../../engine/errors.ts";
import type { Pantry } from "../../engine/types.ts";
import { settling } from "../bench/bench-files.ts";
import { startFrom } from "../bench/benches-edit.ts";
import { useStore } from "../house.ts";
import { Field } from "../parts/field.tsx";
import { fileName, saveFile } from "../parts/save-file.ts";
import { pantryFor } from "../state/derived.ts";
import type { Store } from "../state/store.ts";
import { FORMS, formOf } from "./words.ts";

const WRITERS: Readonly<Record<CardFormat, (card: Card, pantry: Pantry) => string>> = {
  text: toText,
  markdown: toMarkdown,
  csv: toCsv,
  json: toJson,
  "json-ld": toJsonLd,
};

async function copyText(store: Store, card: Card): Promise<void> {
  const text = toText(card, store.pantry.value);
  try {
    await navigator.clipboard.writeText(text);
    store.tell("The card is copied as text.");
  } catch {
    store.tell("This browser does not let a page copy. Save it as plain text instead.", { tone: "problem" });
  }
}

/** Take a card from elsewhere: it starts a bench of its own, with the ingredients and measures it brings. False: it could not be taken. */
function takeCard(store: Store, text: string): boolean {
  const { work, data } = store;
  const pantry = pantryFor(data, work.value);
  const format = formOf(text);
  try {
    const { card, unread } = readCard(format, text, { pantry, glasses: data.glasses });
    const known = pantryOf(card, pantry);
    const missing = card.spec.lines.filter(({ ingredient }) => !known.has(ingredient));
    if (missing.length > 0) {
      const names = missing.map(({ ingredient }) => `“${ingredient}”`).join(", ");
      store.tell(
        `The card was not taken: it pours ${names}, which is not in this pantry and did not come along. Ask for the card as JSON, which carries its ingredients.`,
        { tone: "problem" },
      );
      return false;
    }
    // People's forms say nothing of sizes; in the others, silence means the usual ones.
    const sized = format !== "text" && format !== "markdown" && isMeasured(card.spec);
    const { came, change, told } = settling(store, {
      ingredients: card.ingredients ?? [],
      preps: [],
      ...(sized && { unitSettings: card.unitSettings ?? DEFAULT_UNIT_SETTINGS }),
    });
    const notes = [card.garnish && `Garnish: ${card.garnish}`, card.notes].filter(Boolean).join("\n");
    startFrom(store, pouredAs(card.spec, came), change, notes);
    const left = unread.length > 0 ? `Not part of a card, and left out: ${unread.join("; ")}.` : "";
    store.tell(["The card is on a bench of its own.", told ?? "", left].filter(Boolean).join(" "));
    return true;
  } catch (error) {
    store.tell(`The card was not taken. ${reasonOf(error)}.`, { tone: "problem" });
    return false;
  }
}

/** The way in for a card from elsewhere: as a file, or pasted in any of the forms it is handed over in. */
function TakeIn() {
  const store = useStore();
  const [text, setText] = useState("");
  const take = () => {
    if (takeCard(store, text)) setText("");
  };
  return (
    <>
      <label class="field">
        <span>Take a card from a file</span>
        <input
          type="file"
          id="card-file"
          accept=".json,.csv,.md,.txt,application/json,text/csv,text/plain,text/markdown"
          onChange={async (event) => {
            const input = event.currentTarget;
            const file = input.files?.[0];
            if (file) takeCard(store, await file.text());
            input.value = "";
          }}
        />
      </label>
      <Field label="or paste one, in any of these forms" wide>
        {(ids) => (
          <textarea
            {...ids}
            rows={3}
            spellcheck={false}
            value={text}
            onInput={(event) => setText(event.currentTarget.value)}
          />
        )}
      </Field>
      <button type="button" disabled={text.trim() === ""} onClick={take}>
        Take the pasted card
      </button>
    </>
  );
}

/** Ways out for the card, and the way in for another. */
export function HandOver({ card }: { card: Card }) {
  const store = useStore();
  const save = (format: CardFormat) => {
    const form = FORMS.find((candidate) => candidate.format === format)!;
    const text = WRITERS[format](card, store.pantry.value);
    saveFile(fileName(card.spec.name, form.ending), new Blob([text], { type: form.type }));
  };
  return (
    <section class="card-ways" aria-labelledby="ways-title">
      <h2 id="ways-title">Hand it over</h2>
      <div class="buttons">
        <button type="button" class="primary" onClick={() => copyText(store, card)}>
          Copy as text
        </button>
        <button type="button" onClick={() => print()}>
          Print on one page
        </button>
      </div>
      <fieldset class="buttons card-files">
        <legend class="hint">Save as a file</legend>
        {FORMS.map(({ format, name }) => (
          <button key={format} type="button" class="quiet" onClick={() => save(format)}>
            {name}
          </button>
        ))}
      </fieldset>
      <p class="hint">
        Ingredients of your own, your measurements and your spoon travel whole in JSON, JSON-LD and CSV: the
        drink comes to the same point wherever it is read. Text and Markdown are for people; names are looked
        up again.
      </p>
      <TakeIn />
    </section>
  );
}
