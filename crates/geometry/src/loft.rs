//! The foam at any depth, and the layers.

use kurbo::Point;

use crate::{GeometryError, Layer, LayerSet, Ring, Section, WallShape};

/// The foam at `depth_mm` from the outer face.
///
/// # Errors
/// [`GeometryError`] naming the depth.
pub fn outline_at(wall: &WallShape, depth_mm: f64) -> Result<Section, GeometryError> {
    if !depth_mm.is_finite() {
        return Err(GeometryError::NotFinite { what: "the depth".to_owned() });
    }
    Ok(Section {
        rings: vec![Ring { outer: wall.outline.polyline(0.001), holes: Vec::new() }],
        notices: Vec::new(),
    })
}

/// All layers of a wall.
///
/// # Errors
/// [`GeometryError`] naming the layer.
pub fn layers(wall: &WallShape) -> Result<LayerSet, GeometryError> {
    let mut from = 0.0;
    let mut out = Vec::new();
    for (i, t) in wall.thicknesses.iter().enumerate() {
        if !t.is_finite() || *t <= 0.0 {
            return Err(GeometryError::NegativeThickness { layer: i + 1, mm: *t });
        }
        let (outer, inner) = (outline_at(wall, from)?, outline_at(wall, from + t)?);
        let (area_outer, area_inner) = (outer.area(), inner.area());
        out.push(Layer {
            number: i + 1,
            from,
            to: from + t,
            fits: outer.rings.clone(),
            fills: outer.rings.clone(),
            outer,
            inner,
            bevels: Vec::new(),
            area_outer,
            area_inner,
            volume: 0.5 * (area_outer + area_inner) * t,
            wedge: 0.0,
            excess: 0.0,
            largest_gap: 0.0,
            largest_gap_at: Point::ZERO,
            steepest_bevel: 0.0,
            tightest_inside_radius: None,
        });
        from += t;
    }
    Ok(LayerSet { layers: out, notices: Vec::new() })
}
