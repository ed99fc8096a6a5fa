using System.Linq;
using System.Text;
using NodaTime;
using RefillPlanner.Service.Settings;
using Xunit;

namespace RefillPlanner.Service.Tests.Settings;

public sealed class SettingsFileTests
{
    [Fact]
    public void A_site_has_the_general_settings_and_its_own_on_top()
    {
        var (settings, faults) = Parse("""
            {
              // comments may stand here
              "policy": { "safety_days": 5, "ship_weekdays": ["mon", "thu"], "split_draws": true, "list_at": "06:45", "dose_jump_ratio": 1.5 },
              "sites": { "S-2": { "safety_days": 7 } },
            }
            """);
        Assert.Empty(faults);
        Assert.Equal(5, settings.PolicyOf("S-1").SafetyDays);
        Assert.Equal(7, settings.PolicyOf("S-2").SafetyDays);
        Assert.Equal([IsoDayOfWeek.Monday, IsoDayOfWeek.Thursday], settings.PolicyOf("S-2").ShipWeekdays);
        Assert.True(settings.Policy.SplitDraws);
        Assert.Equal(new LocalTime(6, 45), settings.Policy.ListAt);
        Assert.Equal(150, settings.Policy.DoseJumpHundredths);
    }

    [Theory]
    [InlineData("{ \"policy\": { \"safty_days\": 3 } }", "c.json:1: unknown key \"safty_days\"; nearest is \"safety_days\"")]
    [InlineData("{\n\"policy\": {\n\"safety_days\": 31 } }", "c.json:3: policy.safety_days: \"31\" will not do; it is a whole number from 0 to 30")]
    [InlineData("{ \"policy\": { \"safety_days\": -1 } }", "c.json:1: policy.safety_days: \"-1\" will not do; it is a whole number from 0 to 30")]
    [InlineData("{ \"mail\": { \"host\": \"mail.example.org\", \"port\": 0 } }", "c.json:1: mail.port: \"0\" will not do; it is a whole number from 1 to 65535")]
    [InlineData("{ \"mail\": { \"host\": \"mail.example.org\", \"security\": \"Auto\" } }", "c.json:1: mail.security: \"Auto\" will not do; it is StartTls, SslOnConnect, or Plain to this machine itself")]
    [InlineData("{ \"mail\": { \"host\": \"mail.example.org\", \"security\": \"Plain\" } }", "c.json: mail.security: Plain is for this machine itself only, not for mail.example.org")]
    [InlineData("{ \"mail\": { \"from\": \"nobody\" } }", "c.json:1: mail.from: \"nobody\" will not do; it is an e-mail address")]
    [InlineData("{ \"mial\": { \"port\": 25 } }", "c.json:1: unknown key \"mial.port\"; nearest is \"mail\"")]
    [InlineData("{ \"mailbox\": { \"host\": \"mail.example.org\" } }", "c.json: mailbox.user: is missing; name the user to whom the mailbox belongs")]
    [InlineData("{ \"mailbox\": { \"user\": \"staff\" } }", "c.json: mailbox.host: is missing; without it no mailbox is read, so name the IMAP server or leave the section out")]
    [InlineData("{ \"mailbox\": { \"host\": \"mail.example.org\", \"user\": \"staff\", \"security\": \"Plain\" } }", "c.json: mailbox.security: Plain is for this machine itself only, not for mail.example.org")]
    [InlineData("{\n\"mailbox\": { \"port\": 70000 } }", "c.json:2: mailbox.port: \"70000\" will not do; it is a whole number from 1 to 65535")]
    [InlineData("{ \"mailbox\": { \"pasword_file\": \"x\" } }", "c.json:1: unknown key \"pasword_file\"; nearest is \"password_file\"")]
    [InlineData("{ \"mailbox\": { \"password_file\": \"/nowhere/secret\" } }", "c.json:1: mailbox.password_file: \"/nowhere/secret\" will not do; it is a file that only its owner may read: there is no such file")]
    [InlineData("{ \"policy\": { \"list_at\": \"03:30\" } }", "c.json:1: policy.list_at: \"03:30\" will not do; it is a time from 04:00 to 23:00")]
    [InlineData("{ \"policy\": { \"window_from\": \"19:00\", \"window_to\": \"09:00\" } }", "c.json:1: policy: window_from is not before window_to")]
    public void A_fault_is_one_line_with_its_place_and_what_would_be_right(string text, string expected) =>
        Assert.Equal(expected, Assert.Single(Parse(text).Faults).ToString());

    [Fact]
    public void A_mailbox_is_read_under_TLS_from_the_inbox_unless_told_otherwise()
    {
        var (settings, faults) = Parse("{ \"mailbox\": { \"host\": \"mail.example.org\", \"user\": \"staff\" } }");
        Assert.Empty(faults);
        Assert.Equal(new Service.Mail.MailboxSettings { Host = "mail.example.org", User = "staff", Port = 993, Security = Service.Mail.MailSecurity.SslOnConnect, Folder = "INBOX" }, settings.Mailbox);
        Assert.Null(Parse("{}").Settings.Mailbox.Host);
    }

    [Fact]
    public void Broken_JSON_is_named_with_its_line() => Assert.StartsWith("c.json:2: no valid JSON", Assert.Single(Parse("{\n\"policy\": { ").Faults).ToString(), System.StringComparison.Ordinal);

    [Fact]
    public void Every_default_is_in_the_range_that_its_key_names()
    {
        foreach (var key in PolicyKeys.All.Values)
            Assert.Equal(Core.Ledger.Policy.Default with { ShipWeekdays = [] }, key.Read(Core.Ledger.Policy.Default, key.Show(Core.Ledger.Policy.Default))! with { ShipWeekdays = [] });
        Assert.Equal(24, PolicyKeys.All.Count);
    }

    private static (PlannerSettings Settings, System.Collections.Generic.IReadOnlyList<SettingsFault> Faults) Parse(string text) =>
        SettingsFile.Parse("c.json", Encoding.UTF8.GetBytes(text));
}
