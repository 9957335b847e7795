/** Numbers of the line protocol that both ends rely on; explained in `PROTOCOL.md`. */
export const protocolVersion = 1;

/** Bytes of a line, its LF included. Holds 4096 readings as decimal numbers of eight characters. */
export const longestLine = 40_960;

export const mostBands = 4;
export const mostElectrodes = 64;
export const mostReadings = 4096;

/** Characters of a word: names, commands, reasons. */
export const longestWord = 32;

export const largestSequence = 0xffffffff;
export const largestConfiguration = 0xffff;
export const largestCommandId = 0xffffffff;

/** A board tells its status at least this often, running or not: silence means that the link is gone. */
export const statusEverySeconds = 1;

/** A board that has heard no whole line from the host for this long stops its drive. */
export const hostSilenceSeconds = 10;
