// A page that shows a number as bare as can be: MQTT in, one server-sent event out, one text set. A process
// of its own, as the collector is.
import { createServer, type ServerResponse } from 'node:http';
import { type AddressInfo, createServer as createTcpServer, type Server } from 'node:net';
import { Aedes } from 'aedes';

const page = `<!doctype html><title>Bare</title><p id="number"></p><script>
new EventSource('/stream').onmessage = (event) => {
  document.getElementById('number').textContent = event.data;
};
</script>`;

const streams = new Set<ServerResponse>();
const web = createServer((request, response) => {
  if (request.url !== '/stream') {
    response.writeHead(200, { 'content-type': 'text/html' }).end(page);
    return;
  }
  response.writeHead(200, { 'content-type': 'text/event-stream' }).write(':\n\n');
  streams.add(response);
  response.on('close', () => streams.delete(response));
});
const broker = await Aedes.createBroker({ concurrency: 0 });
broker.on('publish', ({ topic, payload }) => {
  if (topic !== 'bare/air') return;
  const { air } = JSON.parse(payload.toString());
  for (const stream of streams) stream.write(`data: ${air.temperature.toFixed(1)}\n\n`);
});
const mqtt = createTcpServer(broker.handle);

const portOf = (server: Server): Promise<number> =>
  new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => resolve((server.address() as AddressInfo).port));
  });
process.on('disconnect', () => process.exit(0));
process.send?.({ web: await portOf(web as unknown as Server), mqtt: await portOf(mqtt) });
