/**
 * Sky light on tilted planes after R. Perez et al., Solar Energy 44 (1990) 271-289, coefficients for all sites, computed
 * with pvlib-python. Degrees, W/m²; zenith of the true sun, air mass after Kasten and Young.
 */
import { table } from './table.ts';

export interface PerezRow {
  sky: string;
  dniWm2: number;
  ghiWm2: number;
  dhiWm2: number;
  extraWm2: number;
  zenithDeg: number;
  sunAzimuthDeg: number;
  tiltDeg: number;
  azimuthDeg: number;
  skyWm2: number;
}

/** Tolerance 0.001. */
export const PEREZ = table<PerezRow>(`
sky             dniWm2 ghiWm2 dhiWm2 extraWm2 zenithDeg sunAzimuthDeg tiltDeg azimuthDeg skyWm2
clear-noon      900    1000   110    1366.1   20        180           0       180        110.0
clear-noon      900    1000   110    1366.1   20        180           35      180        115.3079
clear-noon      900    1000   110    1366.1   20        180           90      180        60.404
clear-noon      900    1000   110    1366.1   20        180           35      270        102.3854
clear-mid       850    640    100    1366.1   50        140           0       180        100.0
clear-mid       850    640    100    1366.1   50        140           35      180        129.7735
clear-mid       850    640    100    1366.1   50        140           90      180        98.3383
clear-mid       850    640    100    1366.1   50        140           35      270        75.3842
clear-low       450    135    55     1366.1   80        100           0       180        55.0
clear-low       450    135    55     1366.1   80        100           35      180        63.0081
clear-low       450    135    55     1366.1   80        100           90      180        44.8877
clear-low       450    135    55     1366.1   80        100           35      270        41.8053
hazy            400    500    250    1366.1   50        220           0       180        250.0
hazy            400    500    250    1366.1   50        220           35      180        274.4686
hazy            400    500    250    1366.1   50        220           90      180        175.9418
hazy            400    500    250    1366.1   50        220           35      270        266.8074
overcast        0      150    150    1366.1   40        180           0       180        150.0
overcast        0      150    150    1366.1   40        180           35      180        132.77
overcast        0      150    150    1366.1   40        180           90      180        66.9173
overcast        0      150    150    1366.1   40        180           35      270        130.3934
broken          600    800    280    1320     30        200           0       180        280.0
broken          600    800    280    1320     30        200           35      180        311.2096
broken          600    800    280    1320     30        200           90      180        179.7473
broken          600    800    280    1320     30        200           35      270        277.2118
sunrise-grazing 60     12     9      1410     87        60            0       180        7.9737
sunrise-grazing 60     12     9      1410     87        60            35      180        6.7935
sunrise-grazing 60     12     9      1410     87        60            90      180        4.8612
sunrise-grazing 60     12     9      1410     87        60            35      270        6.7935
bright-edge     1000   1150   180    1366.1   15        190           0       180        180.0
bright-edge     1000   1150   180    1366.1   15        190           35      180        173.4578
bright-edge     1000   1150   180    1366.1   15        190           90      180        71.9714
bright-edge     1000   1150   180    1366.1   15        190           35      270        160.7128
`);

/** Angle of incidence, share of the beam that enters after N. Martin, J. Ruiz (2001), a_r 0.16. Tolerance 0.0001. */
export const MARTIN_RUIZ: readonly [number, number][] = [
  [0, 1],
  [10, 0.9998],
  [20, 0.9991],
  [30, 0.9975],
  [40, 0.9936],
  [50, 0.9839],
  [60, 0.9579],
  [70, 0.8838],
  [75, 0.8032],
  [80, 0.6635],
  [85, 0.4208],
  [88, 0.1964],
  [90, 0],
];

/** Irradiance, air °C, wind m/s, cell °C of an open rack of glass on glass after SAND2004-3535. Tolerance 0.001. */
export const SANDIA_CELLS: readonly [number, number, number, number][] = [
  [1000, 25, 1, 57.322504],
  [800, 20, 1, 45.858003],
  [900, 20, 5, 43.509],
  [600, 10, 3, 27.423],
  [1000, 35, 0.5, 68.206],
  [200, 0, 2, 6.126],
  [1100, -10, 6, 17.267],
  [0, 15, 3, 15],
  [500, 10, 5, 23.061],
];
