import type { Project } from './project.ts';

type Room = Project['room'];

/**
 * Returns the volume of the room in cubic metres: as stated, else length times width times height of the box;
 * null where neither is known.
 */
export function roomVolume_m3(room: Room): number | null {
  if (room.volume !== undefined) return room.volume;
  const box = roomBox_m(room);
  return box === null ? null : box.length_m * box.width_m * box.height_m;
}

/**
 * Returns the total surface of the room in square metres (walls, floor, ceiling): as stated, else that of the box;
 * null where neither is known.
 */
export function roomSurface_m2(room: Room): number | null {
  if (room.surface_area !== undefined) return room.surface_area;
  const box = roomBox_m(room);
  if (box === null) return null;
  const { length_m, width_m, height_m } = box;
  return 2 * (length_m * width_m + length_m * height_m + width_m * height_m);
}

/** Returns the three dimensions of a box-shaped room in metres, or null where one of them is not stated. */
export function roomBox_m(room: Room): { length_m: number; width_m: number; height_m: number } | null {
  const { length, width, height } = room;
  if (length === undefined || width === undefined || height === undefined) return null;
  return { length_m: length, width_m: width, height_m: height };
}
