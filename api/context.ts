import type { ReferenceData } from "../engine/types.ts";
import type { Catalogue } from "./catalogue.ts";
import type { Compute } from "./compute/compute.ts";

/** What every route gets. */
export interface ApiContext {
  data: ReferenceData;
  catalogue: Catalogue;
  compute: Compute;
}
