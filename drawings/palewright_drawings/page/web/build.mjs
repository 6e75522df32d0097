// Bundles the front end into ../static/page.js, which is committed: who runs the tool needs no node.

import { createHash } from "node:crypto";
import { copyFileSync, readFileSync, readdirSync } from "node:fs";
import { build } from "esbuild";

const own = readdirSync(".", { recursive: true }).map((name) => name.replaceAll("\\", "/"));
const sources = [...own.filter((name) => name.endsWith(".js") && !name.startsWith("node_modules/")), "package-lock.json"].sort();
const digest = createHash("sha256");
for (const name of sources) digest.update(`${name}\n`).update(readFileSync(name));

await build({
  entryPoints: ["page.js"],
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  legalComments: "inline",
  outfile: "../static/page.js",
  // a test compares this with the sources, so that the bundle cannot fall behind them
  banner: { js: `/* sources ${digest.digest("hex")} */` },
});
copyFileSync("node_modules/three/LICENSE", "../static/three-licence.txt");
