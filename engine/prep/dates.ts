import { fail } from "../errors.ts";

type CalendarDate = [year: number, month: number, day: number];

/** Days of a month of the Gregorian calendar. */
function daysIn(year: number, month: number): number {
  if (month === 2) return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28;
  return [4, 6, 9, 11].includes(month) ? 30 : 31;
}

/**
 * Read a calendar date, YYYY-MM-DD. Dates come from the caller: the engine has no clock.
 *
 * @throws EngineError for anything that is no date
 */
export function readDate(text: string, pointer: string): CalendarDate {
  const [, year = 0, month = 0, day = 0] = (/^(\d{4})-(\d{2})-(\d{2})$/.exec(text) ?? []).map(Number);
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= daysIn(year, month))) {
    fail(pointer, `"${text}" is no date`, "write it as year-month-day, such as 2031-05-09");
  }
  return [year, month, day];
}

/** The date so many days later. */
export function addDays(date: string, days: number): string {
  let [year, month, day] = readDate(date, "/date");
  for (day += days; day > daysIn(year, month); month = (month % 12) + 1) {
    day -= daysIn(year, month);
    if (month === 12) year += 1;
  }
  return [String(year).padStart(4, "0"), ...[month, day].map((x) => String(x).padStart(2, "0"))].join("-");
}
