import { useStore } from "../house.ts";
import { familyPart } from "../state/catalogue.ts";

/** One click: measure the drink against another family. */
function Aim({ family, name }: { family: string; name: string }) {
  const store = useStore();
  return (
    <button type="button" onClick={() => store.edit({ target: [familyPart(family)] })}>
      Aim for {name}
    </button>
  );
}

/** Said before a drink is bent into what it is not: it is poured far more like another family. */
export function MisfitNote() {
  const misfit = useStore().misfit.value;
  if (!misfit) return null;
  return (
    <div class="notice misfit" data-tone="problem">
      <p>{misfit.text}</p>
      <Aim {...misfit.likelier} />
    </div>
  );
}

/** What the drink is like, and the way to its own family's range where another is chosen. */
export function KinLine() {
  const store = useStore();
  const kin = store.kin.value;
  const likeliest = kin?.families[0];
  // The note on a misfit says the same, and more.
  if (!likeliest || store.misfit.value !== null) return null;
  const isChosen = store.target.value?.families.includes(likeliest.family) ?? false;
  return (
    <div class="kin-line">
      <p class="hint">{kin.text}</p>
      {!isChosen && <Aim {...likeliest} />}
    </div>
  );
}
