// Calendar arithmetic on plain integers. The twin of pairing/days.py.
// A day is the integer year x 10000 + month x 100 + day. Gregorian calendar (ISO 8601).

import { floorDiv } from "../physics/rounding.ts";

const LENGTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** 28 to 31. */
export function monthLength(year: number, month: number): number {
  const leap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return leap ? 29 : LENGTHS[month - 1]!;
}

function parts(day: number): [number, number, number] {
  return [floorDiv(day, 10000), floorDiv(day, 100) % 100, day % 100];
}

/** The same day of the month `months` later, or the last day of a shorter month. */
export function monthsLater(day: number, months: number): number {
  const [year, month, date] = parts(day);
  const count = year * 12 + month - 1 + months;
  const toYear = floorDiv(count, 12);
  const toMonth = (count % 12) + 1;
  return toYear * 10000 + toMonth * 100 + Math.min(date, monthLength(toYear, toMonth));
}

/** Days since 0000-03-01; only differences mean anything. */
export function ordinal(day: number): number {
  const [calendarYear, calendarMonth, date] = parts(day);
  const early = calendarMonth < 3;
  const year = early ? calendarYear - 1 : calendarYear;
  const month = early ? calendarMonth + 12 : calendarMonth;
  const leaps = floorDiv(year, 4) - floorDiv(year, 100) + floorDiv(year, 400);
  return year * 365 + leaps + floorDiv(153 * (month - 3) + 2, 5) + date;
}

/** Whole days from `earlier` to `later`, negative when it is the other way round. */
export function daysBetween(earlier: number, later: number): number {
  return ordinal(later) - ordinal(earlier);
}

/** Completed years on the day `on`. */
export function age(born: number, on: number): number {
  return floorDiv(on, 10000) - floorDiv(born, 10000) - (on % 10000 < born % 10000 ? 1 : 0);
}

/** 2027-06-12. */
export function text(day: number): string {
  const [year, month, date] = parts(day);
  const two = (n: number) => String(n).padStart(2, "0");
  return `${String(year).padStart(4, "0")}-${two(month)}-${two(date)}`;
}
