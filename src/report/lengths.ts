import type { Project } from '../project/project.ts';
import { formatNumber, withUnit } from './format.ts';

/** Exact: an international foot is 0.3048 m, an inch a twelfth of it (ISO 80000-3, annex of other units). */
const METRES_A_FOOT = 0.3048;
const MILLIMETRES_AN_INCH = 25.4;

/** How lengths are written: in metres and millimetres, or in feet and inches. Areas and volumes stay metric, as absorption is. */
export interface Lengths {
  unit: 'm' | 'ft';
  small_unit: 'mm' | 'in';
  /** Metres in this unit, so many decimals (one less where the unit is the smaller one). */
  of_m: (length_m: number) => number;
  text: (length_m: number, places: number) => string;
  /** With its unit. */
  whole: (length_m: number, places: number) => string;
  /** Millimetres, with the unit. */
  small: (length_mm: number) => string;
}

/** The lengths of a project in its units and the digits of a language. */
export function lengthsOf({ units }: Pick<Project, 'units'>, locale: string): Lengths {
  const feet = units === 'feet';
  const unit = feet ? 'ft' : 'm';
  const small_unit = feet ? 'in' : 'mm';
  const of_m = (length_m: number) => (feet ? length_m / METRES_A_FOOT : length_m);
  const text = (length_m: number, places: number) =>
    formatNumber(of_m(length_m), feet ? Math.max(0, places - 1) : places, locale);
  const small = (length_mm: number) =>
    feet ? formatNumber(length_mm / MILLIMETRES_AN_INCH, 1, locale) : formatNumber(length_mm, 0, locale);
  return {
    unit,
    small_unit,
    of_m,
    text,
    whole: (length_m, places) => withUnit(text(length_m, places), unit),
    small: (length_mm) => withUnit(small(length_mm), small_unit),
  };
}
