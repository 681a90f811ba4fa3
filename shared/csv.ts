/**
 * Text as a spreadsheet takes it for text: a cell that would begin a formula (= + - @, a tab or a line break)
 * is led by an apostrophe. Numbers are left alone: a negative one is no formula.
 */
export const textCell = (text: string): string => (/^[=+\-@\t\r]/.test(text) ? `'${text}` : text);
