/** The first that is found counts: most browsers also carry the names of older ones. */
const browsers = [
  ['Firefox', /Firefox\//],
  ['Edge', /Edg\w*\//],
  ['Opera', /OPR\//],
  ['Chrome', /Chrom\w+\//],
  ['Safari', /Safari\//],
] as const;
const systems = [
  ['iPhone', /iPhone/],
  ['iPad', /iPad/],
  ['Android', /Android/],
  ['Windows', /Windows/],
  ['macOS', /Mac OS X/],
  ['Linux', /Linux/],
] as const;

/** What a User-Agent header says in two words, `Firefox, Android`; its beginning where it is not known. */
export function deviceOf(userAgent: string): string {
  const named = [browsers, systems].flatMap(
    (list) => list.find(([, mark]) => mark.test(userAgent))?.[0] ?? [],
  );
  return named.length > 0 ? named.join(', ') : userAgent.slice(0, 40);
}
