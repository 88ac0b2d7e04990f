/* The room 'take': what it shows in its part of the panel and on the map. */
"use strict";
Desk.rooms.take = { open() {}, close() {}, news() {} };
