import type { FastifyHelmetOptions } from '@fastify/helmet';

const self = ["'self'"];
const none = ["'none'"];

/**
 * Everything from this server and nothing from elsewhere, no inline script or style. No HSTS and no
 * upgrade-insecure-requests: on plain http in a farm's own network they would lock people out. Isolation by
 * Cross-Origin-Opener-Policy and Origin-Agent-Cluster needs a secure origin; browsers only warn otherwise.
 */
export const helmetOptions: FastifyHelmetOptions = {
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: none,
      scriptSrc: self,
      styleSrc: self,
      imgSrc: self,
      fontSrc: self,
      connectSrc: self,
      mediaSrc: self,
      manifestSrc: self,
      workerSrc: self,
      baseUri: none,
      formAction: self,
      frameAncestors: none,
    },
  },
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
  crossOriginResourcePolicy: { policy: 'same-origin' },
  referrerPolicy: { policy: 'no-referrer' },
  xFrameOptions: { action: 'deny' },
};
