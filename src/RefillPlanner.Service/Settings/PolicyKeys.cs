using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Settings;

/// <summary>One setting that steers the computation: its key, its range in words, how it is read and shown.</summary>
/// <param name="Key">Its key.</param>
/// <param name="Range">What it may be.</param>
/// <param name="Read">The policy with the value; null when the value is out of range.</param>
/// <param name="Show">The value as it is written in the file.</param>
public sealed record PolicyKey(string Key, string Range, Func<Policy, string, Policy?> Read, Func<Policy, string> Show);

/// <summary>All settings that steer the computation (planning model, section 9).</summary>
public static class PolicyKeys
{
    private static readonly LocalTimePattern Time = LocalTimePattern.CreateWithInvariantCulture("HH:mm");
    private static readonly LocalTime EarliestHour = new(4, 0);
    private static readonly LocalTime LatestHour = new(23, 0);

    private static readonly Dictionary<string, IsoDayOfWeek> Weekdays = new()
    {
        ["mon"] = IsoDayOfWeek.Monday,
        ["tue"] = IsoDayOfWeek.Tuesday,
        ["wed"] = IsoDayOfWeek.Wednesday,
        ["thu"] = IsoDayOfWeek.Thursday,
        ["fri"] = IsoDayOfWeek.Friday,
        ["sat"] = IsoDayOfWeek.Saturday,
        ["sun"] = IsoDayOfWeek.Sunday,
    };

    /// <summary>The keys, by name.</summary>
    public static readonly IReadOnlyDictionary<string, PolicyKey> All = new[]
    {
        Whole("safety_days", 0, 30, (policy, value) => policy with { SafetyDays = value }, policy => policy.SafetyDays),
        Whole("transit_open_days", 0, 14, (policy, value) => policy with { TransitOpenDays = value }, policy => policy.TransitOpenDays),
        new PolicyKey("ship_weekdays", "some of mon;tue;wed;thu;fri;sat;sun", ReadShipWeekdays, policy => string.Join(';', policy.ShipWeekdays.Select(day => Weekdays.First(pair => pair.Value == day).Key))),
        Whole("contact_open_days", 0, 30, (policy, value) => policy with { ContactOpenDays = value }, policy => policy.ContactOpenDays),
        Whole("renewal_open_days", 0, 30, (policy, value) => policy with { RenewalOpenDays = value }, policy => policy.RenewalOpenDays),
        Whole("check_open_days", 1, 30, (policy, value) => policy with { CheckOpenDays = value }, policy => policy.CheckOpenDays),
        Whole("alert_open_days", 0, 30, (policy, value) => policy with { AlertOpenDays = value }, policy => policy.AlertOpenDays),
        Whole("fill_days", 1, 180, (policy, value) => policy with { FillDays = value }, policy => policy.FillDays),
        Whole("bridge_days", 0, 60, (policy, value) => policy with { BridgeDays = value }, policy => policy.BridgeDays),
        Whole("early_fill_percent", 0, 100, (policy, value) => policy with { EarlyFillPercent = value }, policy => policy.EarlyFillPercent),
        Whole("uncollected_open_days", 1, 30, (policy, value) => policy with { UncollectedOpenDays = value }, policy => policy.UncollectedOpenDays),
        Whole("no_answer_open_days", 1, 30, (policy, value) => policy with { NoAnswerOpenDays = value }, policy => policy.NoAnswerOpenDays),
        Whole("off_marks_percent", 0, 20, (policy, value) => policy with { OffMarksPercent = value }, policy => policy.OffMarksPercent),
        new PolicyKey("dose_jump_ratio", "1 to 10, at most two decimals", ReadRatio, policy => Exact.Plain(policy.DoseJumpHundredths / 100m)),
        Whole("horizon_days", 30, 1000, (policy, value) => policy with { HorizonDays = value }, policy => policy.HorizonDays),
        Whole("fill_line_percent", 50, 90, (policy, value) => policy with { FillLinePercent = value }, policy => policy.FillLinePercent),
        Whole("sharps_notice_days", 0, 60, (policy, value) => policy with { SharpsNoticeDays = value }, policy => policy.SharpsNoticeDays),
        Whole("sharps_return_days", 1, 90, (policy, value) => policy with { SharpsReturnDays = value }, policy => policy.SharpsReturnDays),
        Whole("bud_notice_days", 0, 90, (policy, value) => policy with { BudNoticeDays = value }, policy => policy.BudNoticeDays),
        new PolicyKey("split_draws", "yes or no", (policy, text) => text is "yes" or "no" ? policy with { SplitDraws = text == "yes" } : null, policy => policy.SplitDraws ? "yes" : "no"),
        Hour("list_at", (policy, value) => policy with { ListAt = value }, policy => policy.ListAt),
        Hour("window_from", (policy, value) => policy with { WindowFrom = value }, policy => policy.WindowFrom),
        Hour("window_to", (policy, value) => policy with { WindowTo = value }, policy => policy.WindowTo),
        Whole("lapsed_days", 30, 365, (policy, value) => policy with { LapsedDays = value }, policy => policy.LapsedDays),
    }.ToDictionary(key => key.Key);

    private static PolicyKey Whole(string key, int lowest, int highest, Func<Policy, int, Policy> with, Func<Policy, int> of) => new(
        key,
        $"a whole number from {lowest} to {highest}",
        (policy, text) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var value) && value >= lowest && value <= highest ? with(policy, value) : null,
        policy => of(policy).ToString(CultureInfo.InvariantCulture));

    private static PolicyKey Hour(string key, Func<Policy, LocalTime, Policy> with, Func<Policy, LocalTime> of) => new(
        key,
        "a time from 04:00 to 23:00",
        (policy, text) => Time.Parse(text) is { Success: true, Value: var value } && value >= EarliestHour && value <= LatestHour ? with(policy, value) : null,
        policy => Time.Format(of(policy)));

    private static Policy? ReadShipWeekdays(Policy policy, string text)
    {
        var words = text.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return words.Length > 0 && words.All(Weekdays.ContainsKey) ? policy with { ShipWeekdays = [.. words.Select(word => Weekdays[word]).Distinct()] } : null;
    }

    private static Policy? ReadRatio(Policy policy, string text) =>
        decimal.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value)
        && value is >= 1 and <= 10 && Exact.Scale(value, 100) is long hundredths
            ? policy with { DoseJumpHundredths = (int)hundredths }
            : null;
}
