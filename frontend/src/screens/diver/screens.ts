import type { Screen } from "../parts/screen.ts";

export const screens: readonly Screen[] = [];
