// The phone's teams and the server's: the same teams and reasons to the same question, not only the same totals.
import { teams } from "../../src/kernel/calculations/teams.ts";
import { heldAlike } from "./alike.ts";

heldAlike("teams", "groups", teams);
