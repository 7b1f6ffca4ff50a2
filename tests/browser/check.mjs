// Opens each page given on the command line at a phone's and a desk's width and looks for barriers:
// axe-core's rules, sideways scrolling, requests to the network, messages on the console.
// With SHOTS=folder it also leaves a picture of every page there.
import { readFileSync } from "node:fs";
import { basename, resolve } from "node:path";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const WIDTHS = [320, 1280];
let passed = 0;
let failed = 0;

function verdict(name, faults) {
  if (faults.length === 0) {
    passed += 1;
    return;
  }
  failed += 1;
  console.error(`${name}:`);
  for (const fault of faults) console.error(`  ${fault}`);
}

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--hide-scrollbars"],
});
for (const file of process.argv.slice(2)) {
  for (const width of WIDTHS) {
    const faults = [];
    const page = await browser.newPage();
    page.on("request", (request) => {
      if (!/^(file|data):/.test(request.url())) faults.push(`asks the network for ${request.url()}`);
    });
    page.on("console", (message) => faults.push(`console: ${message.text()}`));
    page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
    await page.setViewport({ width, height: 900 });
    await page.goto(pathToFileURL(resolve(file)).href);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    if (wide > width) faults.push(`scrolls sideways: ${wide} px wide at ${width} px`);
    if (process.env.SHOTS) {
      const name = `${basename(file, ".html")}-${width}.png`;
      await page.screenshot({ path: resolve(process.env.SHOTS, name), fullPage: true });
    }
    // Closed parts are opened, so that what is in them is looked at too.
    await page.evaluate(() => document.querySelectorAll("details").forEach((part) => (part.open = true)));
    const opened = await page.evaluate(() => document.documentElement.scrollWidth);
    if (opened > width) faults.push(`scrolls sideways once opened: ${opened} px at ${width} px`);
    await page.evaluate(axe);
    const found = await page.evaluate((tags) => axe.run({ runOnly: tags }), TAGS);
    if (found.passes.length === 0) faults.push("axe-core looked at nothing");
    for (const rule of found.violations) {
      for (const node of rule.nodes) faults.push(`${rule.id} (${rule.impact}): ${rule.help}: ${node.html.slice(0, 160)}`);
    }
    verdict(`${basename(file)} at ${width} px`, faults);
    await page.close();
  }
}
await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed || !passed ? 1 : 0);
