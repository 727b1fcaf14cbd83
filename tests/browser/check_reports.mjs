// Every HTML report in headless Chromium: no sideways scrolling, nothing that sticks out, no console message, nothing that
// axe-core finds, at three widths in light and dark; and as A4 pages, the set-up sheet being exactly one.
// Usage: node check_reports.mjs FOLDER-OF-PACKAGES BROWSER FOLDER-OF-REPORTS FOLDER-FOR-PICTURES
// Needs playwright-core and axe-core from the npm registry in FOLDER-OF-PACKAGES/node_modules, and pdfinfo.
import { createRequire } from 'node:module';
import { readdirSync, mkdirSync, readFileSync } from 'node:fs';
import { execFileSync } from 'node:child_process';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const [packages, browserPath, reports, pictures] = process.argv.slice(2).map((path) => resolve(path));
const require = createRequire(join(packages, 'package.json'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const widths = [360, 768, 1280];
const themes = ['light', 'dark'];
const axeRuns = [[360, 'light'], [1280, 'dark']]; // it takes long, and the layout changes once between them
const most_pages = { 'prejob-orchard-store-bad-day': 8, 'prejob-orchard-store-job': 4 }; // without sheets
const rules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

let faults = 0;
let checks = 0;
function expect(holds, sentence) {
  checks++;
  if (!holds) {
    faults++;
    console.log(`FAILS  ${sentence}`);
  }
}

// What reaches beyond the page or is cut off by its own box, scrolling regions excepted.
function findOverflow() {
  const wide = document.documentElement.clientWidth;
  const found = [];
  for (const element of document.body.querySelectorAll('*')) {
    if (element.closest('.wide') || element.closest('svg') || element.closest('thead')) continue;
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.right > wide + 1 || box.left < -1)) found.push(`${element.tagName}.${element.className}: ${element.textContent.slice(0, 40)}`);
  }
  for (const text of document.querySelectorAll('svg.chart text')) {
    const box = text.getBoundingClientRect();
    const frame = text.closest('svg.chart[role=img]').getBoundingClientRect();
    if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)
      found.push(`text of a chart: ${text.textContent}`);
  }
  return found;
}

// Values squeezed into a strip beside their label.
function findSqueezed() {
  return [...document.querySelectorAll('dd')].filter((value) => value.getBoundingClientRect().width < 0.3 * value.closest('dl').getBoundingClientRect().width)
    .map((value) => value.textContent);
}

// Texts of one chart that lie over each other.
function findCollisions() {
  const found = [];
  for (const svg of document.querySelectorAll('svg.chart[role=img]')) {
    const boxes = [...svg.querySelectorAll('text')].map((text) => [text.textContent, text.getBoundingClientRect()]);
    boxes.forEach(([name, a], i) => boxes.slice(i + 1).forEach(([other, b]) => {
      if (a.left < b.right - 2 && b.left < a.right - 2 && a.top < b.bottom - 4 && b.top < a.bottom - 4) found.push(`"${name}" over "${other}"`);
    }));
  }
  return found;
}

// With all that can be opened open, so that what is inside is looked at too.
async function checkAxe(page, place) {
  await page.evaluate(axe);
  const found = await page.evaluate((tags) => window.axe.run(document, { runOnly: tags }), rules);
  for (const violation of found.violations)
    expect(false, `${place}: axe: ${violation.id}: ${violation.help}: ${violation.nodes.slice(0, 2).map((node) => node.html.slice(0, 120)).join(' | ')}`);
  expect(found.passes.length > 10, `${place}: axe has looked at the page`);
}

async function checkScreen(browser, name, url, width, colorScheme) {
  const place = `${name}, ${width} px, ${colorScheme}`;
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, offline: true });
  const page = await context.newPage();
  const messages = [];
  page.on('console', (message) => messages.push(message.text()));
  page.on('pageerror', (error) => messages.push(String(error)));
  page.on('requestfailed', (request) => messages.push(`request ${request.url()}`));
  await page.goto(url);
  const scrolls = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(scrolls <= 0, `${place}: no sideways scrolling (${scrolls} px too wide)`);
  expect((await page.evaluate(findOverflow)).length === 0, `${place}: nothing sticks out: ${(await page.evaluate(findOverflow)).slice(0, 4).join(' | ')}`);
  expect((await page.evaluate(findSqueezed)).length === 0, `${place}: values have room: ${(await page.evaluate(findSqueezed)).slice(0, 4).join(' | ')}`);
  expect((await page.evaluate(findCollisions)).length === 0, `${place}: no texts of a chart collide: ${(await page.evaluate(findCollisions)).slice(0, 4).join(' | ')}`);
  await page.screenshot({ path: join(pictures, `${name}-${width}-${colorScheme}.png`), fullPage: true });
  await page.evaluate(() => document.querySelectorAll('details').forEach((element) => { element.open = true; }));
  const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(wider <= 0, `${place}, all opened: no sideways scrolling`);
  if (axeRuns.some(([w, theme]) => w === width && theme === colorScheme)) await checkAxe(page, place);
  expect(messages.length === 0, `${place}: no console message: ${messages[0]}`);
  await context.close();
}

async function checkPaper(browser, name, url) {
  const context = await browser.newContext({ offline: true });
  const page = await context.newPage();
  const file = join(pictures, `${name}.pdf`);
  await page.goto(url);
  await page.pdf({ path: file, format: 'A4', preferCSSPageSize: true });
  const facts = execFileSync('pdfinfo', [file], { encoding: 'utf8' });
  const pages = Number(/Pages:\s+(\d+)/.exec(facts)[1]);
  expect(/Page size:.*A4/.test(facts), `${name}: the page is A4`);
  if (name.startsWith('set-up')) expect(pages === 1, `${name}: exactly one page (it has ${pages})`);
  if (name in most_pages) expect(pages <= most_pages[name], `${name}: at most ${most_pages[name]} pages (it has ${pages})`);
  await context.close();
  return pages;
}

mkdirSync(pictures, { recursive: true });
const browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox', '--disable-gpu'] });
for (const file of readdirSync(reports).filter((name) => name.endsWith('.html')).sort()) {
  const name = file.replace(/\.html$/, '');
  const url = pathToFileURL(join(reports, file)).href;
  for (const width of widths) for (const theme of themes) await checkScreen(browser, name, url, width, theme);
  console.log(`${name}: ${await checkPaper(browser, name, url)} page(s) of A4`);
}
await browser.close();
console.log(`${checks} checks, ${faults} fail`);
process.exit(faults === 0 ? 0 : 1);
