// Prints the one closing line "N passed, N failed, N skipped" from vitest's JSON report.
import { readFileSync } from "node:fs";

const report = JSON.parse(readFileSync(process.argv[2], "utf8"));
// A suite that fails to load has no tests of its own to fail, so it is counted as one failure.
const brokenSuites = report.testResults.filter(
  (file) => file.status === "failed" && file.assertionResults.every((t) => t.status !== "failed"),
).length;
const skipped = report.numPendingTests + report.numTodoTests;
console.log(
  `${report.numPassedTests} passed, ${report.numFailedTests + brokenSuites} failed, ${skipped} skipped`,
);
