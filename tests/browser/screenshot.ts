import { openSite, visit } from "./open-page.ts";

/** Draw the README's picture anew: the demo bench after “Bring it into range”, from the build that is there. */
const PICTURE = new URL("../../viz/screenshot.png", import.meta.url).pathname;

const site = await openSite();
try {
  const { page, troubles } = await visit(site, "/", { width: 1440, height: 900, scheme: "light" });
  await page.locator("#ask-button").click();
  await page.locator("#answers li.card").first().waitFor();
  await page.waitForFunction(() => /glass/.test(document.querySelector(".chance")?.textContent ?? ""));
  await page.evaluate(() => {
    (document.activeElement as HTMLElement | null)?.blur();
    window.scrollTo(0, 0);
  });
  await page.mouse.move(0, 0);
  await page.screenshot({ path: PICTURE });
  if (troubles.length > 0) throw new Error(troubles.join("\n"));
} finally {
  await site.close();
}
