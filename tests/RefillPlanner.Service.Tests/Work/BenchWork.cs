using System;
using Microsoft.Extensions.DependencyInjection;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The service's work over a desk of the test's own, such as one with another clock.</summary>
internal sealed class BenchWork : IDisposable
{
    private readonly ServiceProvider _services;

    public BenchWork(Desk desk, IMailRoute route)
    {
        var services = new ServiceCollection();
        WorkerHost.AddWork(services, desk, new MailRoutes(1, () => route), new MailTemplates());
        _services = services.BuildServiceProvider();
    }

    public Rounds Rounds => _services.GetRequiredService<Rounds>();

    public Health Health => _services.GetRequiredService<Health>();

    public Progress Progress => _services.GetRequiredService<Progress>();

    public ServiceMeter Meter => _services.GetRequiredService<ServiceMeter>();

    public void Dispose() => _services.Dispose();
}
