/**
 * The farm file of Fernhollow, an invented farm: two rooms, four racks, eighteen sensors. It is a farm
 * file like any other, comments and all, and obeys the schema of shared/farm.
 */
export const fernhollowFarmYaml = `# Fernhollow: the demo farm. Copy this file to start your own.
site: { id: fernhollow, name: Fernhollow, timeZone: Europe/Berlin }

broker: { embedded: { port: 1883 } }

people:
  - { id: ida, name: Ida, email: ida@fernhollow.example }
  - { id: oskar, name: Oskar, email: oskar@fernhollow.example }
  - { id: runa, name: Runa }
notify: [ida, oskar]

rooms:
  - id: warm
    name: Warm room
    floorAreaM2: 18
    limits:
      temperature:
        low: 20
        high: 28
        highHigh: 32
        deadband: 0.5
        onDelayS: 300
        offDelayS: 300
        priority: 2
        respondWithinMin: 60
        advice: Look at the thermostat and the cooler; if it does not cool, prop the corridor door and thin out the top shelves.
        consequence: Bags above 30 °C at the core slow down and spoil more easily.
      humidity: { low: 30, high: 85, onDelayS: 900, offDelayS: 900, priority: 3 }
    racks:
      - id: A
        shelves: [{ id: A1, places: 9 }, { id: A2, places: 9 }, { id: A3, places: 9 }, { id: A4, places: 9 }]
      - id: B
        shelves: [{ id: B1, places: 9 }, { id: B2, places: 9 }, { id: B3, places: 9 }, { id: B4, places: 9 }]
  - id: cool
    name: Cool room
    floorAreaM2: 14
    limits:
      temperature:
        low: 18
        high: 24
        highHigh: 28
        deadband: 0.5
        onDelayS: 300
        offDelayS: 300
        priority: 2
        respondWithinMin: 90
        advice: Look whether the door is shut and the cooler runs.
        consequence: Shiitake and lion's mane brown early when kept too warm.
      humidity: { low: 30, high: 85, onDelayS: 900, offDelayS: 900, priority: 3 }
    racks:
      - id: C
        shelves: [{ id: C1, places: 9 }, { id: C2, places: 9 }, { id: C3, places: 9 }, { id: C4, places: 9 }]
      - id: D
        shelves: [{ id: D1, places: 9 }, { id: D2, places: 9 }, { id: D3, places: 9 }, { id: D4, places: 9 }]

sensors:
  # Radio units send JSON with a time of their own; the probes on the shelves send a bare number.
  - id: warm-air
    name: Warm room, middle
    topic: fernhollow/warm/air
    decoder: json
    timePointer: /at
    at: warm
    channels:
      - { quantity: temperature, unit: degC, pointer: /air/temperature }
      - { quantity: humidity, unit: '%', pointer: /air/humidity }
      - { quantity: battery, unit: '%', pointer: /battery }
  - id: cool-air
    name: Cool room, middle
    topic: fernhollow/cool/air
    decoder: json
    timePointer: /at
    at: cool
    channels:
      - { quantity: temperature, unit: degF, pointer: /air/temperature }
      - { quantity: humidity, unit: fraction, pointer: /air/humidity }
      - { quantity: battery, unit: '%', pointer: /battery }
  - { id: shelf-a1, topic: fernhollow/shelf/A1, decoder: plain, at: A1, channels: [{ quantity: temperature, unit: degC }] }
  - { id: shelf-a2, topic: fernhollow/shelf/A2, decoder: plain, at: A2, channels: [{ quantity: temperature, unit: degC }] }
  - { id: shelf-a4, topic: fernhollow/shelf/A4, decoder: plain, at: A4, channels: [{ quantity: temperature, unit: degC }] }
  - { id: shelf-b1, topic: fernhollow/shelf/B1, decoder: plain, at: B1, channels: [{ quantity: temperature, unit: degF }] }
  - { id: shelf-b3, topic: fernhollow/shelf/B3, decoder: plain, at: B3, channels: [{ quantity: temperature, unit: degF }] }
  - { id: shelf-b4, topic: fernhollow/shelf/B4, decoder: plain, at: B4, channels: [{ quantity: temperature, unit: degC }] }
  - id: shelf-c1
    topic: fernhollow/shelf/C1
    decoder: json
    at: C1
    channels: [{ quantity: temperature, unit: degC, pointer: /t }]
  - id: shelf-c3
    topic: fernhollow/shelf/C3
    decoder: json
    at: C3
    channels: [{ quantity: temperature, unit: degC, pointer: /t }]
  - id: shelf-c4
    topic: fernhollow/shelf/C4
    decoder: json
    timePointer: /time
    at: C4
    channels:
      - { quantity: temperature, unit: K, pointer: /values/0 }
      - { quantity: humidity, unit: '%', pointer: /values/1 }
  - { id: shelf-d1, topic: fernhollow/shelf/D1, decoder: plain, at: D1, channels: [{ quantity: temperature, unit: degC }] }
  - { id: shelf-d2, topic: fernhollow/shelf/D2, decoder: plain, at: D2, channels: [{ quantity: temperature, unit: degC }] }
  - { id: shelf-d4, topic: fernhollow/shelf/D4, decoder: plain, at: D4, channels: [{ quantity: temperature, unit: degC }] }
  # The carts of the sterilizer: each has a probe that is pushed into the load before it rolls into its room.
  - id: cart-warm
    name: Warm room cart
    topic: fernhollow/cart/warm
    decoder: plain
    at: warm
    inLoads: true
    channels: [{ quantity: probe-temperature, unit: degC }]
  - id: cart-cool
    name: Cool room cart
    topic: fernhollow/cart/cool
    decoder: plain
    at: cool
    inLoads: true
    channels: [{ quantity: probe-temperature, unit: degC }]
  # What the coolers do: at one a relay contact says ON or OFF, at the other a plug measures power.
  - id: warm-cooler
    name: Cooler of the Warm room
    topic: fernhollow/warm/cooler
    decoder: plain
    everyS: 120
    at: warm
    channels: [{ quantity: cooler-on, unit: state }]
  - id: cool-cooler
    name: Cooler of the Cool room
    topic: fernhollow/cool/cooler
    decoder: json
    everyS: 120
    at: cool
    channels: [{ quantity: cooler-on, unit: W, onAboveW: 120, pointer: /power }]

containers:
  - id: grain-bag
    name: 3.5 L grain bag
    kind: bag
    shape: { form: cylinder, diameterM: 0.15, heightM: 0.2 }
    massKg: 2.6
    volumeL: 3.5
    moisture: 0.5
  - id: jar
    name: 1 L jar
    kind: jar
    shape: { form: cylinder, diameterM: 0.095, heightM: 0.14 }
    massKg: 0.74
    volumeL: 1
    moisture: 0.5
  - id: sawdust-block
    name: 2.3 kg sawdust block
    kind: block
    shape: { form: brick, widthM: 0.13, depthM: 0.11, heightM: 0.21 }
    massKg: 2.3
    volumeL: 3
    moisture: 0.62
    shakeable: false

strains:
  - { id: larch-2, name: Larch 2, species: oyster }
  - { id: alder-5, name: Alder 5, species: oyster }
  - { id: heath-1, name: Heath 1, species: pink-oyster }
  - { id: fen-3, name: Fen 3, species: reishi }
  - { id: brook-4, name: Brook 4, species: king-trumpet }
  - { id: moss-1, name: Moss 1, species: lions-mane }
  - { id: birch-7, name: Birch 7, species: shiitake }
`;
