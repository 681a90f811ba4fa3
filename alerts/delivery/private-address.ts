import { BlockList, isIPv4 } from 'node:net';

/** IANA special-purpose address registries (RFC 6890 and its updates), and multicast: nothing public is there. */
const v4: [string, number][] = [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.0.2.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['198.51.100.0', 24],
  ['203.0.113.0', 24],
  ['224.0.0.0', 4],
  ['240.0.0.0', 4],
];
/** With translated and tunnelled forms, which may hide any IPv4 address. */
const v6: [string, number][] = [
  ['::', 96],
  ['::ffff:0:0', 96],
  ['64:ff9b::', 96],
  ['64:ff9b:1::', 48],
  ['100::', 64],
  ['2001::', 23],
  ['2001:db8::', 32],
  ['2002::', 16],
  ['3fff::', 20],
  ['5f00::', 16],
  ['fc00::', 7],
  ['fe80::', 10],
  ['ff00::', 8],
];

const blocked4 = new BlockList();
for (const [net, bits] of v4) blocked4.addSubnet(net, bits, 'ipv4');
const blocked6 = new BlockList();
for (const [net, bits] of v6) blocked6.addSubnet(net, bits, 'ipv6');

/** Whether an IP address, v4 or v6, belongs to this machine, this network or nobody: not the public internet. */
export const isPrivateAddress = (address: string): boolean =>
  isIPv4(address) ? blocked4.check(address, 'ipv4') : blocked6.check(address, 'ipv6');
