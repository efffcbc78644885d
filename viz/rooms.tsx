import type { ComponentType } from "preact";
import { BenchRoom } from "./bench/room.tsx";

/** A room of the house: its first part of the address, its name, and what stands in it. */
export interface Room {
  room: string;
  name: string;
  /** In the house's own navigation; the rooms of one bench are in the bench's. */
  inNav: boolean;
  load: () => Promise<ComponentType>;
}

/**
 * Every room. A later one (tasting, preps, a menu) is a line here, a folder of its own, and a line in the server's
 * list of addresses (api/static.ts); a room of one bench also in the bench's navigation (bench/head.tsx).
 */
export const ROOMS: readonly Room[] = [
  { room: "bench", name: "Bench", inNav: true, load: async () => BenchRoom },
  {
    room: "benches",
    name: "Benches",
    inNav: true,
    load: async () => (await import("./benches/room.tsx")).BenchesRoom,
  },
  {
    room: "pantry",
    name: "Pantry",
    inNav: true,
    load: async () => (await import("./pantry/room.tsx")).PantryRoom,
  },
  {
    room: "preps",
    name: "Preps",
    inNav: true,
    load: async () => (await import("./preps/room.tsx")).PrepsRoom,
  },
  {
    room: "menu",
    name: "Menu",
    inNav: true,
    load: async () => (await import("./menu/room.tsx")).MenuRoom,
  },
  {
    room: "lessons",
    name: "Lessons",
    inNav: true,
    load: async () => (await import("./lessons/room.tsx")).LessonsRoom,
  },
  {
    room: "present",
    name: "Present",
    inNav: false,
    load: async () => (await import("./present/room.tsx")).PresentRoom,
  },
  {
    room: "taste",
    name: "Tasting",
    inNav: false,
    load: async () => (await import("./taste/room.tsx")).TasteRoom,
  },
  {
    room: "card",
    name: "Card",
    inNav: false,
    load: async () => (await import("./card/room.tsx")).CardRoom,
  },
];
