using System;

namespace RefillPlanner.Service.Mail;

/// <summary>How mail leaves: routes that are opened as they are needed, some side by side.</summary>
/// <param name="Most">At most so many at once.</param>
/// <param name="Open">Opens one.</param>
public sealed record MailRoutes(int Most, Func<IMailRoute> Open);
