package work_test

// powerRun is a run of our own with bends made on the pipe, an offset, a box
// and a conduit body.
const powerRun = `format: 1
name: Power run
revision: A
units: us
grid: ft
governs:
  work: nfpa-70
objects:
  pole:
    kind: other
    at: [0, 0]
runs:
  power 1:
    service: power
    raceway: EMT 1 in
    carries: [3 x 6 THWN-2, 1 x 8 THWN-2 egc]
    start: [0, 0, 8]
    heading: east
    path:
      - straight: 23 ft
        in: wall
      - offset: 12 in up
        angle: 30 deg
        radius: 6 in
        made: field
      - straight: 12 ft
        in: wall
      - bend: 90 left
        radius: 6 in
        made: field
      - straight: 4 ft
        in: wall
      - bend: 90 up
        radius: 6 in
        made: field
      - straight: 3 ft
        in: wall
      - box: {size: [12 in, 12 in, 6 in]}
      - straight: 14 ft
        in: wall
      - body: LB
        turns: east
      - straight: 5 ft
        in: wall
`
