// Where the golden vectors lie; TEAMDIVE_VECTORS names another folder, for the test of the tests.
import { pathToFileURL } from "node:url";

const other = process.env["TEAMDIVE_VECTORS"];
export const folder = other ? pathToFileURL(`${other}/`) : new URL("../../../fixtures/vectors/", import.meta.url);
