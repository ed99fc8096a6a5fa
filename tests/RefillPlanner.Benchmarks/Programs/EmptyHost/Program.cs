using Microsoft.Extensions.Hosting;

Host.CreateApplicationBuilder(args).Build().Run();
