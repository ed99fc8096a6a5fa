using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Sharps;

namespace RefillPlanner.Service.Work;

/// <summary>The projection as JSON: a stable format that other programs rely on.</summary>
public static class ProjectionJson
{
    private static readonly JsonWriterOptions Options = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>One course's object.</summary>
    public static string Of(CourseSnapshot course, CoursePlan plan)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, Options))
            Write(json, course, plan);
        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    /// <summary>One sharps container's object.</summary>
    public static string Of(SharpsForecast sharps)
    {
        // The fields of old count from the fill line alone; that an early replacement asks for the old container has fields of its own.
        var isReplaced = sharps.ReplacedOn is not null;
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, Options))
        {
            json.WriteStartObject();
            json.WriteString("sharps_id", sharps.SharpsId);
            json.WriteString("patient", sharps.PatientId);
            json.WriteNumber("used", sharps.Used);
            json.WriteNumber("capacity", sharps.Capacity);
            WriteDate(json, "fill_line_on", sharps.FillLineOn);
            WriteDate(json, "notice_on", isReplaced ? null : sharps.NoticeOn);
            WriteDate(json, "return_by_on", isReplaced ? null : sharps.ReturnByOn);
            json.WriteString("state", Kebab.Of(isReplaced && sharps.State is (SharpsState.NoticeSent or SharpsState.Overdue) ? SharpsState.Issued : sharps.State));
            WriteDate(json, "replaced_on", sharps.ReplacedOn);
            WriteDate(json, "replaced_return_by_on", isReplaced ? sharps.ReturnByOn : null);
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    private static void Write(Utf8JsonWriter json, CourseSnapshot course, CoursePlan plan)
    {
        var supply = plan.Supply;
        var step = course.ListLadder(supply.Ladder).First(step => step.Number == supply.Step);
        json.WriteStartObject();
        json.WriteString("course", plan.CourseId);
        WriteDate(json, "as_of", plan.AsOf);
        json.WriteString("outcome", Kebab.Of(supply.Outcome));
        json.WriteNumber("ladder", supply.Ladder);
        json.WriteNumber("step", supply.Step);
        WriteList(json, "doses", step.Doses.Select(dose => dose.ToString()));
        json.WriteString("unit", Kebab.Of(course.Products[step.ProductId].Unit));
        json.WriteStartArray("draws");
        foreach (var draw in supply.Draws)
            WriteDraw(json, draw);
        json.WriteEndArray();
        WriteDate(json, "run_out_on", supply.RunOutOn);
        WriteDate(json, "run_out_if_held_on", supply.RunOutIfHeldOn);
        WriteDate(json, "ends_on", supply.EndsOn);
        WriteDate(json, "last_covered_on", supply.LastCoveredOn);
        json.WriteNumber("doses_covered", supply.DosesCovered);
        json.WriteString("used_ml", supply.Used.ToString());
        json.WriteString("lost_ml", supply.Lost.ToString());
        json.WriteString("discarded_ml", supply.Discarded.ToString());
        json.WriteString("left_over_ml", supply.LeftOver.ToString());
        json.WriteNumber("containers_opened", supply.ContainersOpened);
        json.WriteString("binding_limit", supply.BindingLimit is { } limit ? Kebab.Of(limit) : null);
        WriteRefill(json, plan.Refill);
        WriteStepUp(json, plan.StepUp);
        json.WriteStartArray("findings");
        foreach (var finding in plan.Findings)
        {
            json.WriteStartObject();
            json.WriteString("code", finding.Code);
            json.WriteString("text", finding.Text);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteString("days_covered_percent", plan.DaysCovered is { } covered ? Exact.Plain(covered.Percent) : null);
        json.WriteEndObject();
    }

    private static void WriteDraw(Utf8JsonWriter json, Draw draw)
    {
        json.WriteStartObject();
        json.WriteNumber("injections", draw.Injections);
        WriteList(json, "marks_ml", draw.Marks.Select(mark => mark.ToString()));
        if (draw.MarksUnits is null)
            json.WriteNull("marks_units");
        else
            WriteList(json, "marks_units", draw.MarksUnits.Select(Exact.Plain));
        json.WriteString("delivered", Exact.Plain(draw.Delivered));
        json.WriteString("error_percent", Exact.Plain(draw.ErrorPercent));
        json.WriteEndObject();
    }

    private static void WriteRefill(Utf8JsonWriter json, RefillPlan? refill)
    {
        if (refill is null)
        {
            json.WriteNull("refill");
            return;
        }

        json.WriteStartObject("refill");
        WriteDate(json, "need_in_hand_on", refill.NeedInHandOn);
        WriteDate(json, "ready_on", refill.ReadyOn);
        WriteDate(json, "prepare_on", refill.PrepareOn);
        WriteDate(json, "contact_on", refill.ContactOn);
        WriteDate(json, "renew_on", refill.RenewOn);
        WriteDate(json, "earliest_fill_on", refill.EarliestFillOn);
        json.WriteNumber("late_days", refill.LateDays);
        json.WriteNumber("days_supply", refill.DaysSupply);
        json.WriteStartArray("items");
        foreach (var item in refill.Items)
        {
            json.WriteStartObject();
            json.WriteString("product", item.ProductId);
            json.WriteNumber("step", item.Step);
            json.WriteNumber("containers", item.Containers);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteStartArray("supplies");
        foreach (var supply in refill.Supplies.Where(supply => supply.DeviceId is not null))
        {
            json.WriteStartObject();
            json.WriteString("device", supply.DeviceId);
            json.WriteNumber("count", supply.Count);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void WriteStepUp(Utf8JsonWriter json, StepUpPlan? stepUp)
    {
        if (stepUp is null)
        {
            json.WriteNull("step_up");
            return;
        }

        json.WriteStartObject("step_up");
        json.WriteNumber("step", stepUp.Step);
        WriteDate(json, "starts_on", stepUp.StartsOn);
        WriteDate(json, "check_by_on", stepUp.CheckByOn);
        WriteDate(json, "alert_on", stepUp.AlertOn);
        json.WriteBoolean("approved", stepUp.Approved);
        json.WriteEndObject();
    }

    private static void WriteDate(Utf8JsonWriter json, string name, LocalDate? date) =>
        json.WriteString(name, date is LocalDate known ? LocalDatePattern.Iso.Format(known) : null);

    private static void WriteList(Utf8JsonWriter json, string name, IEnumerable<string> values)
    {
        json.WriteStartArray(name);
        foreach (var value in values)
            json.WriteStringValue(value);
        json.WriteEndArray();
    }
}
