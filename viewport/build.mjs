// Bundles the 3D view and the screen at the bender into one folder: node build.mjs OUT
import { cp } from "node:fs/promises";
import { build } from "esbuild";

const out = process.argv[2];
if (!out) {
  console.error("usage: node build.mjs OUT");
  process.exit(2);
}
const shared = { bundle: true, minify: true, format: "esm", target: "es2022", legalComments: "linked", logLevel: "warning" };
await build({ ...shared, entryPoints: { index: "src/index.ts" }, outdir: `${out}/view` });

// phones of a few years ago
const screen = { ...shared, target: "es2020", legalComments: "none" };
await build({ ...screen, entryPoints: { index: "src-screen/index.ts" }, outdir: `${out}/screen` });
await build({ ...screen, format: "iife", entryPoints: { worker: "src-screen/worker.ts" }, outdir: `${out}/screen` });
for (const name of ["screen.css", "icon.svg", "screen.webmanifest"]) await cp(`src-screen/${name}`, `${out}/screen/${name}`);
