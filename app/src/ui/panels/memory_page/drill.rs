//! A drill: one thing about colour at a time, asked eight times and answered at once, each question harder than the one before.

use super::MemoryState;
use super::chip;
use crate::files::memory_record::{self, Run};
use crate::ui::looks::Surround;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Key, Modifiers, Rect, RichText, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::LightOfDay;
use stint_model::colour::Colour;
use stint_model::colour::munsell::y_of_munsell_value;
use stint_model::drill::{Answer, Drill, QUESTIONS, Question, Reply, question};

/// Side of a chip as a part of the field's smaller side, alone or one of two, and one of a row.
const CHIP: f32 = 0.34;
const CHIP_IN_ROW: f32 = 0.2;
/// Space between chips as a part of their side.
const APART: f32 = 0.25;
/// Where the grey of a value begins, Munsell: it says nothing about what is looked for.
const START_VALUE: f32 = 5.0;
/// Runs before this one that are told in words.
const EARLIER: usize = 5;

/// A run in the making.
pub(super) struct DrillRun {
    drill: Drill,
    seed: u64,
    question: Question,
    answers: Vec<Answer>,
    /// The grey as it is set, Munsell values.
    value: f32,
    /// The answer that is being looked at.
    given: Option<Reply>,
}

impl DrillRun {
    /// A run; another one each time, the same for the same number of runs before.
    pub fn new(drill: Drill, runs_before: usize) -> Self {
        let seed = runs_before as u64 + 1;
        let question = question(drill, seed, 0);
        DrillRun { drill, seed, question, answers: Vec::new(), value: START_VALUE, given: None }
    }

    /// Whether every question was answered and looked at.
    pub fn is_over(&self) -> bool {
        self.given.is_none() && self.answers.len() == QUESTIONS
    }

    fn next(&mut self) {
        self.given = None;
        self.value = START_VALUE;
        if self.answers.len() < QUESTIONS {
            self.question = question(self.drill, self.seed, self.answers.len());
        }
    }
}

impl MemoryState {
    /// Takes an answer and writes it into the record.
    fn answer(&mut self, state: &mut State, reply: Reply) {
        let Some(run) = &mut self.run else { return };
        let Some(answer) = run.question.judge(reply).filter(|_| run.given.is_none()) else { return };
        let begins = run.answers.is_empty();
        match memory_record::add_answer(state.data_folder.as_deref(), run.drill, answer, begins) {
            Ok((record, told)) => {
                state.notices.extend(told);
                self.record = Some(record);
            }
            Err(error) => state.notices.push(error.to_string()),
        }
        run.answers.push(answer);
        run.given = Some(reply);
    }
}

/// A neutral grey of a Munsell value, as a screen shows it.
#[expect(clippy::cast_possible_truncation, reason = "a luminance from 0 to 1 in single precision")]
fn grey(value: f32) -> Colour {
    let y = y_of_munsell_value(f64::from(value)) as f32;
    Colour::from_srgb8(Colour::new(y, y, y).to_srgb8())
}

/// The chips on the field. A chip of a pair can be pressed: it is the warmer one then.
pub(super) fn field(part: &mut MemoryState, state: &mut State, ui: &Ui, surround: Surround) {
    let Some(run) = &part.run else { return };
    let all = ui.max_rect();
    let smaller = all.width().min(all.height());
    let row = |count: usize, side: f32, gap: f32| -> Vec<Rect> {
        let step = side + gap;
        let left = all.center().x - (count as f32 * step - gap) / 2.0;
        let at = |i: usize| pos2(left + i as f32 * step, all.center().y - side / 2.0);
        (0..count).map(|i| Rect::from_min_size(at(i), vec2(side, side))).collect()
    };
    let side = (smaller * CHIP).round();
    let mut reply = None;
    match &run.question {
        Question::Value(colour) => {
            // Touching once the answer is shown, so that the eye can compare.
            let gap = if run.given.is_some() { 0.0 } else { side * APART };
            let rects = row(2, side, gap);
            chip::patches(
                ui,
                &[(rects[0], *colour, wording::DRILL_CHIP), (rects[1], grey(run.value), wording::DRILL_GREY)],
                surround,
            );
        }
        Question::Warmth(pair) => {
            let rects = row(2, side, side * APART);
            let names = [wording::LEFT_CHIP, wording::RIGHT_CHIP];
            for (i, rect) in rects.iter().enumerate() {
                chip::patch(ui, *rect, pair[i], surround);
                let response = ui.interact(*rect, ui.scope_id().with(names[i]), Sense::click());
                let free = run.given.is_none();
                response.widget_info(|| WidgetInfo::labeled(Role::Button, free, names[i]));
                widgets::focus_ring(ui, &response, rect.expand(4.0));
                if free && response.clicked() {
                    reply = Some(Reply::RightIsWarmer(i == 1));
                }
            }
        }
        Question::Light(chips, _) => {
            let side = (all.width() * 0.8 / chips.len() as f32).min(smaller * CHIP_IN_ROW * 1.6).round();
            let rects = row(chips.len(), side * 0.9, side * 0.1);
            for (rect, colour) in rects.iter().zip(chips) {
                chip::patch(ui, *rect, *colour, surround);
            }
            let whole = rects.iter().copied().fold(Rect::NOTHING, Rect::union);
            let response = ui.interact(whole, ui.scope_id().with("surfaces"), Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::DRILL_SURFACES));
        }
    }
    if let Some(reply) = reply {
        part.answer(state, reply);
        ui.ctx().request_repaint();
    }
}

/// The column: the question and the ways to answer it, or what the answer was worth, or the whole run.
pub(super) fn column(part: &mut MemoryState, state: &mut State, ui: &mut Ui, alone: bool) {
    let Some(run) = &mut part.run else { return };
    if run.is_over() {
        return summary(part, ui);
    }
    let shown = run.given.is_some();
    widgets::quiet(ui, wording::step_of(run.answers.len() + usize::from(!shown), QUESTIONS));
    let title = RichText::new(wording::drill_question(run.drill)).font(theme::font(theme::LARGE, Weight::Semibold));
    ui.label(title.color(theme::STRONG));
    // A key that has no control to go to presses the one button.
    let free = alone && ui.memory(|m| m.focused()).is_none();
    let pressed = |ui: &Ui, key| free && ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    if let (Some(reply), Some(answer)) = (run.given, run.answers.last()) {
        widgets::heading(ui, if answer.right { wording::RIGHT_ANSWER } else { wording::WRONG_ANSWER });
        widgets::text(ui, wording::answer_words(&run.question, reply, answer));
        widgets::gap(ui, 2.0);
        let last = run.answers.len() == QUESTIONS;
        let words = if last { wording::END_SITTING } else { wording::NEXT_SWATCH };
        if widgets::pill(ui, words, Pill::First).clicked() || pressed(ui, Key::Enter) {
            run.next();
            ui.ctx().request_repaint();
        }
        return;
    }
    widgets::quiet(ui, wording::drill_hint(run.drill));
    let mut reply = None;
    match run.drill {
        Drill::Value => {
            let words = wording::value_1(run.value);
            widgets::slider(ui, wording::GUESS_VALUE, &words, &mut run.value, 0.0..=10.0, false);
            if widgets::pill(ui, wording::SHOW_ANSWER, Pill::First).clicked() || pressed(ui, Key::Enter) {
                reply = Some(Reply::Value(run.value));
            }
        }
        Drill::Warmth => {
            ui.horizontal(|ui| {
                for (right, words, key) in
                    [(false, wording::LEFT_WARMER, Key::ArrowLeft), (true, wording::RIGHT_WARMER, Key::ArrowRight)]
                {
                    if widgets::pill(ui, words, Pill::Second).clicked() || pressed(ui, key) {
                        reply = Some(Reply::RightIsWarmer(right));
                    }
                }
            });
        }
        Drill::Light => {
            ui.horizontal(|ui| {
                for light in LightOfDay::ALL {
                    if widgets::pill(ui, wording::light_title(light), Pill::Second).clicked() {
                        reply = Some(Reply::Light(light));
                    }
                }
            });
        }
    }
    if let Some(reply) = reply {
        part.answer(state, reply);
        ui.ctx().request_repaint();
    }
}

/// How the run went, and those before it.
fn summary(part: &mut MemoryState, ui: &mut Ui) {
    let Some(run) = &part.run else { return };
    let right = run.answers.iter().filter(|a| a.right).count();
    widgets::gap(ui, 2.0);
    widgets::number(ui, &right.to_string(), "", theme::HUGE);
    widgets::quiet(ui, wording::right_of(QUESTIONS));
    if run.drill == Drill::Value {
        let misses: Vec<f64> = run.answers.iter().map(|a| a.by).collect();
        widgets::text(ui, wording::value_misses(&misses));
    }
    let runs = part.record.iter().flat_map(|r| &r.runs).filter(|r| r.drill == run.drill);
    // The last one is this one.
    let mut before: Vec<usize> = runs.map(Run::right).collect();
    before.pop();
    if !before.is_empty() {
        let shown = &before[before.len().saturating_sub(EARLIER)..];
        widgets::quiet(ui, wording::earlier_runs(shown));
    }
    widgets::gap(ui, 2.0);
    if widgets::pill(ui, wording::AGAIN, Pill::First).clicked() {
        part.run = None;
        ui.ctx().request_repaint();
    }
}

/// Every answer of a run that is over, on the field: a sign that is right or wrong by its shape.
pub(super) fn answers(part: &MemoryState, ui: &Ui, ground: egui::Color32) {
    let Some(run) = &part.run else { return };
    let all = ui.max_rect();
    let step = (all.width() / (QUESTIONS as f32 + 2.0)).min(72.0);
    let left = all.center().x - (run.answers.len() as f32 - 1.0) * step / 2.0;
    let ink = if theme::l_star(ground) > 50.0 { theme::ON_LIGHT } else { theme::STRONG };
    for (i, answer) in run.answers.iter().enumerate() {
        let centre = pos2(left + i as f32 * step, all.center().y);
        let stroke = egui::Stroke::new(2.0, ink);
        if answer.right {
            ui.painter().circle_filled(centre, 9.0, ink);
        } else {
            ui.painter().circle_stroke(centre, 9.0, stroke);
        }
        let number = (i + 1).to_string();
        let font = theme::font(theme::SMALL, Weight::Regular);
        ui.painter().text(centre + vec2(0.0, 18.0), Align2::CENTER_TOP, number, font, ink);
        let rect = Rect::from_center_size(centre, vec2(24.0, 24.0));
        let response = ui.interact(rect, ui.scope_id().with(("answer", i)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, wording::answer_sign(i + 1, answer.right)));
    }
}
