//! One frame of the window.

use super::app::{App, QueuedInput};
use super::canvas_area::{area_of, canvas_id, is_canvas};
use super::event_times;
use super::frame_renderer::{CanvasPicture, Picture};
use super::screen::FrameOutcome;
#[cfg(not(target_arch = "wasm32"))]
use super::screen::Screen;
use crate::base::clock::{self, Duration};
use crate::ui::canvas_view::DisplayOptions;
use crate::ui::looks::Look;
#[cfg(not(target_arch = "wasm32"))]
use crate::ui::stale::Stale;
use crate::ui::state::State;
use crate::ui::tools::{self, Scene};
use crate::ui::{panels, theme};
use egui::epaint::ImageDelta;
use egui::{Rect, ViewportId};
use std::sync::Arc;
use stint_model::ids::{PaintId, SwatchId};
use stint_model::paint::PaintKind;
use stint_render::engine::EngineError;
use winit::event_loop::ActiveEventLoop;
use winit::window::Window;

/// A frame that could not be drawn is tried again after this.
const TRY_AGAIN: Duration = Duration::from_millis(50);

impl App {
    /// One frame: what came since the last, the panels, the canvas.
    pub(super) fn frame(&mut self, event_loop: &dyn ActiveEventLoop) {
        let Some(window) = self.window.clone() else { return };
        let size = window.surface_size();
        if size.width == 0 || size.height == 0 || self.hidden {
            return;
        }
        #[cfg(target_arch = "wasm32")]
        {
            self.shown_since_job = true;
            // A frame without a screen would ask for another screen.
            if self.screen.is_none() {
                return;
            }
        }
        self.frame_times.begins(clock::now());
        self.frame_timer.reset();
        let points_before = self.context.pixels_per_point();
        self.translator.pixels_per_point = f64::from(points_before);
        self.state.hands_on |= self.translator.hands_on();
        let reach = self.translator.reach();
        if self.context.global_style().interaction.interact_radius != reach {
            self.context.global_style_mut(|style| style.interaction.interact_radius = reach);
        }
        self.follow_study();
        self.state.follow_recording();
        self.apply_queued_input();
        self.raw.events.extend(self.access.take_actions());
        if self.access.is_asked() || self.controls.wanted() {
            self.context.enable_accesskit();
        } else {
            self.context.disable_accesskit();
        }
        let output = self.interface(&window);
        self.follow_display();
        let update = output.platform_output.accesskit_update.as_ref();
        if let Err(text) = self.controls.follow(update, output.pixels_per_point) {
            self.state.notices.push(text);
        }
        self.fallback_fonts.follow(&self.context, &output.shapes);
        self.access.follow(window.as_ref(), update);
        // Panels may have opened or closed a study, or asked for it.
        self.previous_paint.update(&mut self.state);
        self.handle_requests(event_loop);
        self.follow_study();
        self.apply_platform_output(event_loop, &window, &output.platform_output);
        let jobs = self.context.tessellate(output.shapes, output.pixels_per_point);
        let outcome = self.draw(jobs, output.pixels_per_point, output.textures_delta);
        let delay = output.viewport_output.get(&ViewportId::ROOT).map_or(Duration::MAX, |v| v.repaint_delay);
        self.after_frame(event_loop, outcome, delay);
    }

    pub(super) fn apply_queued_input(&mut self) {
        let mut queued = std::mem::take(&mut self.queued_input);
        let told = queued.iter_mut().filter_map(|item| match item {
            QueuedInput::Tool(input) => event_times::time_ms(input),
            QueuedInput::ActionPressed(_) | QueuedInput::ActionReleased(_) => None,
        });
        self.event_times.spread(&mut told.collect::<Vec<_>>());
        self.view.set_mirror(self.state.mirror);
        let (context, translator) = (&self.context, &self.translator);
        for item in queued {
            let view = self.view;
            let on_canvas = |at: [f64; 2]| is_canvas(context, &view, translator, at);
            let mut scene = Scene {
                state: &mut self.state,
                panels: &mut self.panels,
                view: &mut self.view,
                on_canvas: &on_canvas,
                points: translator.pixels_per_point,
            };
            match item {
                QueuedInput::Tool(input) => self.pointer.take(input, &mut scene),
                QueuedInput::ActionPressed(action) => tools::act(&mut self.pointer, action, &mut scene),
                QueuedInput::ActionReleased(action) => self.pointer.key_released(action),
            }
        }
        self.pointer.show(&mut self.state, &mut self.panels);
        self.view.set_mirror(self.state.mirror);
        self.previous_paint.update(&mut self.state);
    }

    pub(super) fn interface(&mut self, window: &Arc<dyn Window>) -> egui::FullOutput {
        let size = window.surface_size();
        #[expect(clippy::cast_possible_truncation, reason = "a scale factor in the single precision of egui")]
        let native = window.scale_factor() as f32;
        let logical = egui::vec2(size.width as f32, size.height as f32) / native;
        let percent = self.state.preferences.size_percent;
        self.state.size_held_percent = Some(panels::size_held_percent(logical, percent));
        let scale = native * panels::scale(logical, percent);
        let points = scale * self.context.zoom_factor();
        let mut raw = self.raw.take();
        // How long something was pressed is a matter of its events, however slow the frames are.
        raw.time = Some(self.heard.take().unwrap_or_else(|| self.started.elapsed()).as_secs_f64());
        raw.screen_rect = Some(Rect::from_min_size(
            egui::Pos2::ZERO,
            egui::vec2(size.width as f32 / points, size.height as f32 / points),
        ));
        raw.max_texture_side = self.screen.as_mut().map(|s| s.renderer().texture_limit() as usize);
        if let Some(viewport) = raw.viewports.get_mut(&ViewportId::ROOT) {
            viewport.native_pixels_per_point = Some(scale);
            viewport.focused = Some(raw.focused);
        }
        // Nothing to tell while a page stands in the place of the canvas.
        self.state.zoom = if self.panels.page == panels::Page::Canvas { self.view.scale() } else { 0.0 };
        let (state, panels, view, pointer) = (&mut self.state, &mut self.panels, &mut self.view, &self.pointer);
        self.context.run_ui(raw, |ui| {
            let rect = panels::frame(ui, state, panels);
            let points = f64::from(ui.ctx().pixels_per_point());
            view.set_area(area_of(rect, points), points);
            if state.session.is_some() && rect.is_positive() {
                let canvas = ui.interact(rect, canvas_id(), egui::Sense::click_and_drag());
                canvas.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, "Canvas"));
                if canvas.contains_pointer() || canvas.dragged() {
                    ui.ctx().set_cursor_icon(tools::cursor(pointer, state));
                }
                tools::draw(pointer, state, panels, view, &ui.painter_at(rect), points);
                panels::canvas_frame(ui, state, panels, view, rect, points);
            }
        })
    }

    pub(super) fn draw(
        &mut self,
        jobs: Vec<egui::ClippedPrimitive>,
        pixels_per_point: f32,
        mut delta: egui::epaint::textures::TexturesDelta,
    ) -> FrameOutcome {
        self.atlas.follow(&delta);
        let Some(screen) = &mut self.screen else {
            delta.clear();
            return FrameOutcome::Lost;
        };
        screen.renderer().set_textures(&delta);
        // Glyphs are added to the atlas beside those that are there; only its first and whole settings change what shows.
        let font = egui::TextureId::default();
        let whole = |changes: &[ImageDelta]| changes.iter().any(ImageDelta::is_whole);
        let changed =
            delta.set.iter().filter(|(id, changes)| **id != font || whole(changes)).map(|(id, _)| *id).collect();
        let highlighted = highlighted_paints(&self.state);
        let ground = theme::surround_grey(self.state.surround);
        let pointer = Some(self.translator.pointer()).filter(|&at| self.view.area.contains(at));
        let near = self.view.canvas_from_window(pointer.unwrap_or_else(|| self.view.area.middle()));
        let found = self.state.comparing.found().filter(|_| self.state.look == Look::Difference).cloned();
        let photo = found.as_ref().map(|found| &found.photo);
        let seen = DisplayOptions {
            look: self.state.look,
            surround: ground,
            photo,
            highlighted: highlighted.as_deref(),
            near,
        };
        let canvas = self.state.session.as_mut().map(|session| CanvasPicture {
            session,
            view: &self.view,
            seen,
            stale: &mut self.state.stale,
        });
        let (outcome, canvas) = screen.draw(Picture { jobs, changed, pixels_per_point, ground, canvas });
        screen.renderer().free_textures(&delta);
        delta.clear();
        let fault = screen.take_fault();
        if self.frame_times_file.is_some() {
            screen.renderer().wait();
        }
        if outcome == FrameOutcome::Presented {
            self.frame_times.presented(clock::now());
        }
        if let Some(text) = fault {
            self.state.notices.push(format!("the graphics device of the window reported a fault ({text})"));
        }
        let reading = self.state.session.as_ref().is_some_and(crate::study::session::Session::is_reading);
        self.state.catching_up = reading || matches!(canvas, Ok(1..));
        if outcome == FrameOutcome::Presented && canvas.is_ok() && !std::mem::replace(&mut self.state.shown, true) {
            self.redraw();
        }
        let picking = self.state.session.as_ref().is_some_and(crate::study::session::Session::is_picking);
        match &canvas {
            // What was picked is on its way.
            Ok(0) if picking => self.redraw(),
            Ok(0) => {}
            // The rest of a large refresh, a part a frame.
            Ok(_) => self.redraw(),
            // The window draws on that device too: both are opened anew.
            Err(EngineError::DeviceLost(_)) if self.engine_draws_here() => return FrameOutcome::Lost,
            Err(error @ EngineError::DeviceLost(_)) => self.replace_engine(error),
            Err(_) => {}
        }
        let fault = canvas.err().filter(|error| !matches!(error, EngineError::DeviceLost(_))).map(|e| e.to_string());
        self.state.notices.extend(newly(&mut self.canvas_fault, fault));
        outcome
    }

    pub(super) fn after_frame(&mut self, event_loop: &dyn ActiveEventLoop, outcome: FrameOutcome, delay: Duration) {
        match outcome {
            FrameOutcome::Presented | FrameOutcome::Hidden => {}
            FrameOutcome::Again => {
                self.frame_timer.ask(clock::now(), TRY_AGAIN);
            }
            FrameOutcome::Lost => {
                let gone = self.engine_draws_here().then(|| self.screen.take().map(|s| s.gpu().clone())).flatten();
                self.screen = None;
                self.open_screen(event_loop);
                // The surface alone may have been at fault; then the engine goes on as it is.
                if let Some(Err(why)) = gone.map(|gpu| gpu.check()) {
                    self.replace_engine(&why);
                }
                return self.redraw();
            }
        }
        if delay.is_zero() {
            self.redraw();
        } else {
            self.frame_timer.ask(clock::now(), delay);
        }
    }

    /// Whether the engine of the open study works on the window's device.
    fn engine_draws_here(&mut self) -> bool {
        let device = self.screen.as_ref().map(|screen| screen.gpu().device());
        device.zip(self.state.session.as_mut()).is_some_and(|(device, session)| session.canvas().draws_on(device))
    }

    pub(super) fn open_screen(&mut self, event_loop: &dyn ActiveEventLoop) {
        #[cfg(target_arch = "wasm32")]
        {
            let _ = event_loop;
            self.ask_for_screen();
        }
        #[cfg(not(target_arch = "wasm32"))]
        {
            let Some(window) = &self.window else { return };
            match Screen::open(window, self.display.clone(), &self.atlas) {
                Ok(screen) => {
                    self.screen = Some(screen);
                    self.use_display();
                    self.state.stale = Stale::All;
                }
                Err(error) => self.fail(event_loop, error),
            }
        }
    }
}

/// What is to be told of a fault: nothing while it is the one that was told.
fn newly(told: &mut Option<String>, fault: Option<String>) -> Option<String> {
    let new = fault.clone().filter(|fault| told.as_ref() != Some(fault));
    *told = fault;
    new
}

/// The paints that stand out, if any swatch does; no paint when the study has never used it, which lights nothing. What is tried
/// out is looked at as a whole, so that a remark lights nothing meanwhile.
fn highlighted_paints(state: &State) -> Option<Vec<PaintId>> {
    let about: &[SwatchId] = if state.trial_board.is_none() { &state.remarked } else { &[] };
    let swatches: Vec<SwatchId> = state.highlighted.iter().chain(about).copied().collect();
    let paints = &state.session.as_ref()?.document().paints;
    let lit = |kind: PaintKind| matches!(kind, PaintKind::Swatch(id) if swatches.contains(&id));
    (!swatches.is_empty()).then(|| paints.iter().filter(|p| lit(p.kind)).map(|p| p.id).collect())
}

#[cfg(test)]
mod tests {
    use super::newly;

    #[test]
    fn one_fault_in_many_frames_is_told_once() {
        let mut told = None;
        let frames = ["lost", "lost", "lost", "", "lost", "full", "full"];
        let faults = frames.map(|f| Some(f.to_owned()).filter(|f| !f.is_empty()));
        let notices: Vec<_> = faults.into_iter().filter_map(|fault| newly(&mut told, fault)).collect();
        assert_eq!(notices, ["lost", "lost", "full"]);
    }
}
