import type { Signal } from "@preact/signals";
import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { Asking } from "./bench/asking.ts";
import type { Wishing } from "./bench/wishing.ts";
import type { Solver } from "./solver/client.ts";
import type { Keeping } from "./state/keeping.ts";
import type { Standing } from "./state/server.ts";
import type { Store } from "./state/store.ts";

/** What every room is given. */
export interface House {
  store: Store;
  asking: Asking;
  wishing: Wishing;
  /** A second solver, for the lists that follow the spec: swaps and the like. */
  lookup: Solver;
  keeping: Keeping;
  /** How the last exchange with the server's store went; null before the first. */
  standing: Signal<Standing | null>;
}

const HouseContext = createContext<House | null>(null);
export const HouseProvider = HouseContext.Provider;

/** The house this component stands in. */
export function useHouse(): House {
  const house = useContext(HouseContext);
  if (!house) throw new Error("A room was drawn outside the house.");
  return house;
}

/** The store of the house. */
export const useStore = (): Store => useHouse().store;
