//! The cells of a tag, for drawing the printed card.
//!
//! Family 36h11: Olson, "AprilTag: a robust and flexible visual fiducial system", ICRA 2011; the codes in the bit order of
//! OpenCV's aruco module (`DICT_APRILTAG_36h11`), which also says which way up a tag stands. The detector's own table is
//! private to it, so the numbers our cards use are kept here.

/// Codes of the numbers 0 to 199: bit 0 is the top-left inner cell, then along the rows; a set bit is white.
#[rustfmt::skip]
const CODES: [u64; 200] = [
    0xd_5d62_8584, 0xd_97f1_8b49, 0xd_d280_910e, 0xe_479e_9c98, 0xe_bcbc_a822, 0xf_31da_b3ac, 0x0_56a5_d085,
    0x1_0652_e1d4, 0x2_2b1d_fead, 0x2_65ad_0472, 0x3_4fe9_1b86, 0x3_ff96_2cd5, 0x4_3a25_329a, 0x4_74b4_385f,
    0x4_e9d2_43e9, 0x5_2461_49ae, 0x5_997f_5538, 0x6_83bb_6c4c, 0x6_be4a_7211, 0x7_e315_8eea, 0x8_1da4_94af,
    0x8_5833_9a74, 0x8_cd51_a5fe, 0x9_f21c_c2d7, 0xa_2cab_c89c, 0xa_dc58_d9eb, 0xb_16e7_dfb0, 0xb_8c05_eb3a,
    0xd_25ef_139d, 0xd_607e_1962, 0xe_4aba_3076, 0x2_dde6_a3da, 0x4_3d40_c678, 0x5_620b_e351, 0x6_4c47_fa65,
    0x6_86d7_002a, 0x6_c166_05ef, 0x6_fbf5_0bb4, 0x8_d06d_39dc, 0x9_f538_56b5, 0xa_df74_6dc9, 0xb_c9b0_84dd,
    0xd_290a_a77b, 0xd_9e28_b305, 0xe_4dd5_c454, 0xf_ad2f_e6f2, 0x1_81a8_151a, 0x2_6be4_2c2e, 0x2_e102_37b8,
    0x4_05cd_5491, 0x7_742e_ab1c, 0x8_5e6a_c230, 0x8_d388_cdba, 0x9_f853_ea93, 0xc_41ea_2445, 0xc_f197_3594,
    0x1_4a34_a333, 0x3_1eac_d15b, 0x6_c79d_2dab, 0x7_3cbb_3935, 0x8_9c15_5bd3, 0x8_d6a4_6198, 0x9_1133_675d,
    0xa_708d_89fb, 0xa_e5ab_9585, 0xb_9558_a6d4, 0xb_9874_3ab2, 0xd_6cec_68da, 0x1_506b_caef, 0x4_becd_217a,
    0x4_f95c_273f, 0x6_58b6_49dd, 0xa_76c4_b1b7, 0xe_cf62_1f56, 0x1_c8a5_6a57, 0x3_628e_92ba, 0x5_3706_c0e2,
    0x5_e6b3_d231, 0x7_809c_fa94, 0xe_97ee_ad6f, 0x5_af40_604a, 0x7_4929_88ad, 0xe_d599_4712, 0x5_ecea_f9ed,
    0x7_c163_2815, 0xc_1a00_95b4, 0xe_9e25_d52b, 0x3_a670_5419, 0xa_8333_012f, 0x4_ce57_04d0, 0x5_08e6_0a95,
    0x8_7747_6120, 0xa_864e_950d, 0xe_a45c_fce7, 0x1_9da0_47e8, 0x2_4d4d_5937, 0x6_e079_cc9b, 0x9_9f2e_11d7,
    0x3_3aa5_0429, 0x4_99ff_26c7, 0x5_0f1d_3251, 0x6_6e77_54ef, 0x9_6ad6_33ce, 0x9_a565_3993, 0xa_ca30_566c,
    0xc_298a_790a, 0x8_be44_b65d, 0xd_c68f_354b, 0x1_6f7f_919b, 0x4_dde0_e826, 0xd_548c_bd9f, 0xe_0439_ceee,
    0xf_d8b1_fd16, 0x7_6521_bb7b, 0xd_9237_5742, 0xc_ab16_d40c, 0x7_30c9_dd72, 0xa_d9ba_39c2, 0xb_1449_3f87,
    0x5_2b15_651f, 0x1_8540_9cad, 0x7_7ae2_c68d, 0x9_4f5a_f4b5, 0x0_a13b_ad55, 0x6_1ea4_37cd, 0xa_0223_99e2,
    0x2_03b1_63d1, 0x7_bba8_f40e, 0x9_5bc9_442d, 0x4_1c0b_5358, 0x8_e9c6_cc81, 0x0_eb54_9670, 0x9_da3a_0b51,
    0xd_832a_67a1, 0xd_cd43_50bc, 0x4_aa05_fdd2, 0x6_0c7b_b44e, 0x4_b358_b96c, 0x0_6729_9b45, 0xb_9c89_b5fa,
    0x6_975a_caea, 0x6_2b8f_7afa, 0x3_3567_c3d7, 0xb_ac13_9950, 0xa_5927_c62a, 0x5_c916_e6a4, 0x2_60ec_b7d5,
    0x2_9b7b_bd9a, 0x9_0320_5f26, 0xa_e722_70a4, 0x3_d2ec_51a7, 0x8_2ea5_5324, 0x1_1a6f_3427, 0x1_ca1c_4576,
    0xa_40c8_1aef, 0xb_ddcc_d730, 0x0_e617_561e, 0x9_6931_7b0f, 0x6_7f78_1364, 0x6_1091_2f96, 0xb_2549_fdfc,
    0x0_6e5a_aa6b, 0xb_6c47_5339, 0xc_5683_6a4d, 0x8_44e3_51eb, 0x4_647f_83b4, 0x0_908a_04f5, 0x7_f510_34c9,
    0xa_ee53_7fca, 0x5_e924_94ba, 0xd_4458_08f4, 0x2_8d68_b563, 0x0_4d25_374b, 0x2_bc06_5f65, 0x9_6dc3_ea0c,
    0x4_b2ad_e817, 0x0_7c3f_d502, 0xe_768b_5caf, 0x1_7605_cf6c, 0x1_8274_1ee4, 0x6_2846_097c, 0x7_2b5e_bf80,
    0x2_63da_6e13, 0xf_a841_bcb5, 0x7_e45e_8c69, 0x6_53c8_1fa0, 0x7_443b_5e70, 0x0_a523_4afd, 0x7_4756_f24e,
    0x1_57eb_f02a, 0x8_2ef4_6939, 0x8_0d42_0264, 0x2_aeed_3e98, 0xb_0a1d_d4f8, 0xb_5436_be13, 0x7_b7b4_b13b,
    0x1_ce80_d6d3, 0x1_6c08_427d, 0xe_e544_62dd, 0x1_f764_4cce,
];

/// The 8 × 8 cells of the tag with this number, black border included: `[row][column]`, row 0 on top, true = black.
///
/// `None` for numbers no card carries (above 199).
///
/// # Examples
/// ```
/// let cells = coldwright_canvas::tag_cells(57).unwrap();
/// assert!(cells[0].iter().all(|black| *black), "the border is black");
/// assert!(coldwright_canvas::tag_cells(200).is_none());
/// ```
#[must_use]
pub fn tag_cells(number: u32) -> Option<[[bool; 8]; 8]> {
    let code = *CODES.get(usize::try_from(number).ok()?)?;
    let mut cells = [[true; 8]; 8];
    for (row, line) in cells.iter_mut().skip(1).take(6).enumerate() {
        for (column, cell) in line.iter_mut().skip(1).take(6).enumerate() {
            *cell = code >> (row * 6 + column) & 1 == 0;
        }
    }
    Some(cells)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows from the top, a set bit is black. Source: OpenCV 5.0.0,
    /// `cv2.aruco.generateImageMarker(getPredefinedDictionary(DICT_APRILTAG_36h11), n, 8, borderBits=1)`.
    #[rustfmt::skip]
    const FROM_OPENCV: [(u32, [u8; 8]); 5] = [
        (0, [0b1111_1111, 0b1110_1111, 0b1100_1011, 0b1111_0101, 0b1111_0011, 0b1010_0011, 0b1010_1001, 0b1111_1111]),
        (1, [0b1111_1111, 0b1011_0111, 0b1010_0101, 0b1111_0011, 0b1110_0001, 0b1000_1011, 0b1100_1001, 0b1111_1111]),
        (57, [0b1111_1111, 0b1001_0011, 0b1010_1111, 0b1010_0111, 0b1001_0101, 0b1100_0011, 0b1110_0111, 0b1111_1111]),
        (101, [0b1111_1111, 0b1000_0101, 0b1001_1011, 0b1010_1001, 0b1010_0011, 0b1100_0101, 0b1011_0011, 0b1111_1111]),
        (199, [0b1111_1111, 0b1100_0111, 0b1001_1001, 0b1110_1111, 0b1011_0011, 0b1000_1001, 0b1000_1111, 0b1111_1111]),
    ];

    #[test]
    fn cells_are_those_opencv_draws() {
        for (number, rows) in FROM_OPENCV {
            let cells = tag_cells(number).expect("a card's number");
            let drawn = cells.map(|row| row.iter().fold(0_u8, |byte, black| byte << 1 | u8::from(*black)));
            assert_eq!(drawn, rows, "tag {number}");
        }
    }

    #[test]
    fn any_two_tags_differ_in_eleven_cells_at_every_turn() {
        // The family's promise: at least 11 cells between any two tags, however they are turned.
        let turn = |cells: [[bool; 8]; 8]| std::array::from_fn(|r| std::array::from_fn(|c| cells[7 - c][r]));
        let tags: Vec<[[bool; 8]; 8]> = (0..200).map(|n| tag_cells(n).unwrap()).collect();
        for (i, a) in tags.iter().enumerate() {
            let mut b = *a;
            for quarter in 0..4 {
                for (j, other) in tags.iter().enumerate().filter(|(j, _)| quarter > 0 || *j != i) {
                    let apart =
                        b.iter().flatten().zip(other.iter().flatten()).filter(|(x, y)| x != y).count();
                    assert!(
                        apart >= 11,
                        "tags {i} and {j} differ in {apart} cells at quarter turn {quarter}"
                    );
                }
                b = turn(b);
            }
        }
    }
}
