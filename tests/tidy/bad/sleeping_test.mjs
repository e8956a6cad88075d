// as: tests/browser/sample.test.mjs
// expect: sleeping_test=1
await page.waitForTimeout(500);
await page.waitForSelector("text=hajime");
