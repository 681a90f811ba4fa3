/** Hands a file to the browser's downloads. */
export function saveFile(name: string, blob: Blob): void {
  const address = URL.createObjectURL(blob);
  const anchor = document.createElement('a');
  anchor.href = address;
  anchor.download = name;
  anchor.click();
  URL.revokeObjectURL(address);
}

interface Picture {
  canvas: HTMLCanvasElement;
  title: string;
  ground: string;
  ink: string;
  font: string;
}

/** The drawn chart on its ground, with its title, as a PNG. */
export async function pictureOf({ canvas, title, ground, ink, font }: Picture): Promise<Blob | null> {
  const px = devicePixelRatio;
  const head = 48 * px;
  const sheet = document.createElement('canvas');
  sheet.width = canvas.width + 24 * px;
  sheet.height = canvas.height + head + 12 * px;
  const ctx = sheet.getContext('2d')!;
  ctx.fillStyle = ground;
  ctx.fillRect(0, 0, sheet.width, sheet.height);
  ctx.fillStyle = ink;
  ctx.font = font.replace('15px', `${18 * px}px`);
  ctx.textBaseline = 'middle';
  ctx.fillText(title, 16 * px, head / 2);
  ctx.drawImage(canvas, 8 * px, head);
  return new Promise((resolve) => sheet.toBlob(resolve, 'image/png'));
}
