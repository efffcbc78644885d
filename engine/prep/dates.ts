import { fail } from "../errors.ts";

/** Days of a 400-year cycle of the Gregorian calendar, which repeats exactly. */
const CYCLE_DAYS = 146_097;

/**
 * Days from 1 March of the year 0 to a calendar date (Gregorian): counting years from March puts the leap day last,
 * so that months before it have fixed starts.
 */
function dayNumber(year: number, month: number, day: number): number {
  const y = month > 2 ? year : year - 1;
  const fromMarch = (month + 9) % 12;
  return (
    365 * y +
    Math.floor(y / 4) -
    Math.floor(y / 100) +
    Math.floor(y / 400) +
    Math.floor((153 * fromMarch + 2) / 5) +
    day -
    1
  );
}

function dateOf(dayNumberOfIt: number): string {
  const cycle = Math.floor(dayNumberOfIt / CYCLE_DAYS);
  const inCycle = dayNumberOfIt - cycle * CYCLE_DAYS;
  const years = Math.floor(
    (inCycle - Math.floor(inCycle / 1460) + Math.floor(inCycle / 36_524) - Math.floor(inCycle / 146_096)) /
      365,
  );
  const inYear = inCycle - (365 * years + Math.floor(years / 4) - Math.floor(years / 100));
  const fromMarch = Math.floor((5 * inYear + 2) / 153);
  const month = ((fromMarch + 2) % 12) + 1;
  const year = 400 * cycle + years + (month <= 2 ? 1 : 0);
  const day = inYear - Math.floor((153 * fromMarch + 2) / 5) + 1;
  return [String(year).padStart(4, "0"), String(month).padStart(2, "0"), String(day).padStart(2, "0")].join(
    "-",
  );
}

/**
 * Check a calendar date, YYYY-MM-DD. Dates come from the caller: the engine has no clock.
 *
 * @throws EngineError for anything that is no date
 */
export function readDate(text: string, pointer: string): number {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  const [year, month, day] = (match?.slice(1) ?? []).map(Number);
  const number = match && month! >= 1 && month! <= 12 ? dayNumber(year!, month!, day!) : null;
  // A day that the month lacks comes back as one of the next.
  if (number === null || dateOf(number) !== text) {
    fail(pointer, `"${text}" is no date`, "write it as year-month-day, such as 2031-05-09");
  }
  return number;
}

/** The date so many days later. */
export function addDays(date: string, days: number): string {
  return dateOf(readDate(date, "/date") + days);
}
