using System.Linq;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>A mail to a patient that was refused or came back: where it asked about the next supply, somebody calls instead.</summary>
internal static class BouncedMail
{
    /// <summary>Makes the calls, in the transaction that marks the mail. Planning keeps them until the question is answered.</summary>
    public static void Call(StoreTransaction transaction, OutgoingMessage mail, Desk desk)
    {
        if (mail is not { Kind: MessageKind.PatientNotice, PatientId: string patientId })
            return;
        try
        {
            var asked = mail.TaskKeys.Select(transaction.Tasks.Find).OfType<TaskOnRecord>().Where(task => task.Task.Kind == TaskKind.RefillContact && TaskLife.IsOpen(task.State)).ToArray();
            if (asked.Length == 0 || transaction.Snapshots.Find(patientId) is not PatientSnapshot snapshot)
                return;
            var site = snapshot.Courses[0].Site;
            var hours = new WorkHours(site, snapshot.Patient, desk.Settings.PolicyOf(site.Id), Desk.Today(site, desk.Now));
            foreach (var call in asked.Select(contact => CallTasks.Unreached(contact.Task, hours)))
                transaction.Tasks.Apply(TaskChange.List([call], transaction.Tasks.Find(call.Key) is TaskOnRecord known ? [known] : [], _ => false), desk.Now);
        }
        catch (DamagedRowException)
        {
            // The list says that it is damaged; the mail itself is on it as well.
        }
    }
}
