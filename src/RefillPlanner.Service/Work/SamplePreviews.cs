using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Work;

/// <summary>Messages about an invented patient of an invented pharmacy: no database is opened for them.</summary>
/// <param name="composer">Writes them.</param>
internal sealed class SamplePreviews(MailComposer composer)
{
    private const string ServiceAddress = "operator@pharmacy.invalid";

    /// <summary>The sample of a kind.</summary>
    /// <param name="kind">Which.</param>
    /// <param name="language">Of what is for a patient.</param>
    public Preview Of(PreviewKind kind, Language language)
    {
        var sample = new SampleCourse(language, IsPlain: false);
        return kind switch
        {
            PreviewKind.MorningList => Preview.Of(composer.Compose(SampleModels.List(sample), sample.Site, SampleModels.Now), sample.Site),
            PreviewKind.StepUpAlert => Preview.Of(composer.Compose(SampleModels.Alert(isPlain: false), sample.Snapshot, new TaskKey("sample"), isToManager: false, SampleCourse.Today, SampleModels.Now), sample.Site),
            PreviewKind.ServiceAlert => Preview.Of(composer.Compose(new Pause(PauseKind.MailAccount, SampleModels.Now, Until: null, 1, "the mail server refuses the password."), SampleModels.Now) is var alert && alert.To is null ? alert with { To = ServiceAddress } : alert, site: null),
            PreviewKind.Sheet => Preview.OfPage(composer.Page(SampleModels.Sheet(sample)), composer.Calendar(SampleModels.Sheet(sample), sample.Site, SampleModels.Now)),
            PreviewKind.SharpsNotice => Notice(SampleModels.SharpsNotice(sample), sample),
            PreviewKind.DiscardLine => Notice(SampleModels.DiscardLine(sample), sample),
            _ => Notice(SampleModels.Notice(sample), sample),
        };
    }

    private Preview Notice(PatientNotice notice, SampleCourse sample) =>
        Preview.Of(composer.Compose(notice, sample.Patient, sample.Site, [], SampleCourse.Today, SampleModels.Now), sample.Site);
}
