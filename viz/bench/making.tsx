import { METHODS } from "../../engine/dilution/methods.ts";
import type { Method, ServingIce } from "../../engine/types.ts";
import { upperFirst } from "../../engine/wording.ts";
import { useStore } from "../house.ts";
import { ChoiceField } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { later } from "../parts/later.tsx";

const IceWater = later(async () => (await import("./ice-water.tsx")).IceWater);

const METHOD_CHOICES = (Object.keys(METHODS) as Method[]).map((value) => ({
  value,
  label: METHODS[value].name,
}));

const SERVED: { value: ServingIce | ""; label: string }[] = [
  { value: "", label: "As usual for this glass" },
  { value: "none", label: "No ice" },
  { value: "cubes", label: "Cubes" },
  { value: "rock", label: "One large rock" },
  { value: "crushed", label: "Crushed ice" },
];

/** "Shaken hard with ice for 12–15 s and strained." */
function methodHint(method: Method): string {
  const { meaning, kind } = METHODS[method];
  return `${upperFirst(meaning)}.${
    kind === "estimate"
      ? " How much water it takes is our estimate, and wide: measuring the glass tells more."
      : ""
  }`;
}

/** How the drink is made and what it goes into. */
export function Making() {
  const store = useStore();
  const { spec } = store.work.value;
  return (
    <div class="making">
      <ChoiceField
        label="Method"
        value={spec.method}
        options={METHOD_CHOICES}
        onChoose={(method) => store.edit({ spec: { ...spec, method } })}
      />
      <ChoiceField
        label="Glass"
        value={spec.glass ?? ""}
        options={[
          { value: "", label: "Not chosen" },
          ...store.data.glasses.map((glass) => ({ value: glass.id, label: glass.name })),
        ]}
        onChoose={(glass) => {
          const { glass: _, ...rest } = spec;
          store.edit({ spec: glass === "" ? rest : { ...rest, glass } });
        }}
      />
      {spec.glass && (
        <ChoiceField
          label="Ice in the glass"
          value={spec.servedOn ?? ""}
          options={SERVED}
          onChoose={(servedOn) => {
            const { servedOn: _, ...rest } = spec;
            store.edit({ spec: servedOn === "" ? rest : { ...rest, servedOn } });
          }}
        />
      )}
      <Fold summary="Water from ice" class="quiet-fold ice">
        {() => (
          <>
            <p class="hint">{methodHint(spec.method)}</p>
            <IceWater />
          </>
        )}
      </Fold>
    </div>
  );
}
