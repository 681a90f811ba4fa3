import { z } from 'zod';

/** Certificate, with those between it and the authority, and its key: PEM files. */
export const certificateFiles = z.strictObject({ certFile: z.string().min(1), keyFile: z.string().min(1) });
export type CertificateFiles = z.infer<typeof certificateFiles>;

const hostName = z
  .string()
  .max(253)
  .regex(
    /^[a-z0-9]([a-z0-9.-]*[a-z0-9])?$/i,
    'a name such as farm-box.lan, without http:// and without a port',
  );

/** How the screens are reached. Taken up at the start. */
export const screens = z.strictObject({
  /** With these the screens are served by https alone; renewed files are taken up while it runs. */
  tls: certificateFiles.optional(),
  /** Proxies whose word about where a request came from, and whether by https, is taken. */
  trustedProxies: z
    .array(z.union([z.ipv4(), z.ipv6(), z.cidrv4(), z.cidrv6()], 'an address or a range such as 10.0.0.0/8'))
    .max(50)
    .default([]),
  /** Names under which the screens are opened, besides this machine's own and that of site.address. */
  names: z.array(hostName).max(50).default([]),
});
