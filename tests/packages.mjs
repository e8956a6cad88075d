// npm packages for tests: import { require } from "../packages.mjs"; const { WebSocket } = require("ws");
// Node looks for an imported package beside the importing file and above it, and ours are installed in
// clients/web; `require` made from there finds them, with no loader and no environment variable.
import { createRequire } from "node:module";

export const require = createRequire(new URL("../clients/web/package.json", import.meta.url));
