// Bundles the 3D view and the screen at the bender into one folder: node build.mjs OUT
import { build } from "esbuild";

const out = process.argv[2];
if (!out) {
  console.error("usage: node build.mjs OUT");
  process.exit(2);
}
const shared = { bundle: true, minify: true, format: "esm", target: "es2022", legalComments: "linked", logLevel: "warning" };
await build({ ...shared, entryPoints: { index: "src/index.ts" }, outdir: `${out}/view` });
