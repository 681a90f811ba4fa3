import { z } from 'zod';

/** `farm`: the site that is watched (or the demo). `training`: the run that is open, if one is. */
export const siteName = z.enum(['farm', 'training']);
export type SiteName = z.infer<typeof siteName>;

export const siteParams = z.strictObject({ site: siteName });

/** A number in a query string. The empty string is nothing, not zero; a parameter given twice is refused. */
export const queryNumber = <S extends z.ZodType>(number: S) =>
  z.preprocess((value) => {
    if (typeof value !== 'string') return value;
    return value.trim() === '' ? undefined : Number(value);
  }, number);
