import { expect, test } from 'vitest';
import { isPrivateAddress } from '../../../../alerts/delivery/private-address.ts';

test.each([
  '127.0.0.1',
  '10.1.2.3',
  '172.31.255.255',
  '192.168.0.7',
  '169.254.169.254',
  '100.64.0.1',
  '0.0.0.0',
  '255.255.255.255',
  '224.0.0.251',
  '::1',
  '::',
  '::ffff:127.0.0.1',
  '::ffff:c0a8:1',
  '64:ff9b::a00:1',
  'fd00::1',
  'fe80::1',
  '2002:7f00:1::',
])('%s is not the public internet', (address) => {
  expect(isPrivateAddress(address)).toBe(true);
});

test.each(['9.9.9.9', '172.32.0.1', '100.128.0.1', '193.0.0.1', '2620:fe::fe', '2a00:1450::1'])(
  '%s is',
  (address) => {
    expect(isPrivateAddress(address)).toBe(false);
  },
);
