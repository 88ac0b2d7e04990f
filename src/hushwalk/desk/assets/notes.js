/* The room 'notes': what it shows in its part of the panel and on the map. */
"use strict";
Desk.rooms.notes = { open() {}, close() {}, news() {} };
