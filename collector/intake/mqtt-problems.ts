/** What goes wrong on the way to a broker, by system code or MQTT reason code, in words with the cure. */
const words: Record<string, string> = {
  ECONNREFUSED: 'nothing listens there: is the broker running, and the port right?',
  ENOTFOUND: 'no such host name',
  EAI_AGAIN: 'the host name cannot be looked up: is the network up?',
  EHOSTUNREACH: 'the host cannot be reached: is the network up?',
  ENETUNREACH: 'the network cannot be reached',
  ETIMEDOUT: 'no answer in time',
  ECONNRESET: 'the broker cut the connection',
  EPIPE: 'the broker cut the connection',
  DEPTH_ZERO_SELF_SIGNED_CERT: "the broker's certificate is its own: name its CA by broker.caFile",
  SELF_SIGNED_CERT_IN_CHAIN: "the broker's certificate has a CA of its own: name it by broker.caFile",
  UNABLE_TO_VERIFY_LEAF_SIGNATURE: "the broker's certificate has an unknown CA: name it by broker.caFile",
  CERT_HAS_EXPIRED: "the broker's certificate has expired",
  ERR_TLS_CERT_ALTNAME_INVALID: "the broker's certificate is for another host name",
  // OASIS MQTT 3.1.1 table 3.1 and MQTT 5.0 section 3.2.2.2
  '2': 'the broker refuses this client id',
  '3': 'the broker is unavailable',
  '4': 'the broker refuses the user name or password',
  '5': 'the broker does not let this user in',
  '133': 'the broker refuses this client id',
  '134': 'the broker refuses the user name or password',
  '135': 'the broker does not let this user in',
  '136': 'the broker is unavailable',
  '137': 'the broker is busy',
  '138': 'the broker has banned this client',
};

const codeOf = (error: Error): string => String((error as { code?: string | number }).code ?? '');

export const brokerProblem = (error: Error): string => words[codeOf(error)] ?? error.message;

/** The broker speaks no MQTT 5: MQTT 3.1.1 return code 1, MQTT 5 reason code 132. */
export const speaksOlderMqtt = (error: Error): boolean => ['1', '132'].includes(codeOf(error));
