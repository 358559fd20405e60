using Google.Protobuf.Reflection;
using Google.Rpc;
using KitMesh.Disk;
using KitMesh.Hub.Days;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Links;
using KitMesh.Hub.Listening;
using KitMesh.Hub.Pages;
using KitMesh.Hub.Seals;
using KitMesh.Hub.Telemetry;
using KitMesh.Hub.Views;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub;

/// <summary>What a hub is put together from.</summary>
internal static class HubServices
{
    /// <summary>Registers everything. Things are disposed in the opposite order of their making: the journal last.</summary>
    public static void Add(IServiceCollection services, HubOptions options, HubClocks clocks, IDisk disk, HubIdentity? identity)
    {
        services.AddSingleton(options);
        services.AddSingleton(clocks);
        services.AddSingleton(disk);
        services.AddSingleton(new RightsBook(options.Node, identity?.Trust));
        services.AddSingleton<BoundAddress>();
        TelemetryServices.Add(services, options, clocks);
        if (identity is not null)
        {
            services.AddSingleton(_ => identity);
            services.AddSingleton(new CodeBook(clocks.Machine));
            services.AddSingleton(new AttemptLimit(clocks.Machine));
            services.AddSingleton<LiveCalls>();
            services.AddSingleton(new PageSessions(options.DataFolder));
            services.AddSingleton<JoinPage>();
            services.AddSingleton<CallerGate>();
            services.AddSingleton<PhoneInvite>();
            services.AddSingleton(provider => new OwnSeals(provider.GetRequiredService<IJournalWriter>(), new CertificateSigner(() => identity.Self), ReportCodec.Decode));
            services.AddSingleton<SealKeeper>();
        }
        else if (options.Certificate is null)
        {
            services.AddSingleton<IConnectionListenerFactory, SharedPortListenerFactory>();
        }

        services.AddSingleton<IJournalWriter>(_ => HubJournal.Open(disk, options, clocks));
        services.AddSingleton(provider => new StoreKeeper(disk, options, provider.GetRequiredService<IJournalWriter>().JournalId, clocks.World, provider.GetRequiredService<ILogger<StoreKeeper>>()));
        services.AddSingleton(provider => new MergedView(provider.GetRequiredService<IJournalWriter>(), provider.GetRequiredService<StoreKeeper>(), provider.GetRequiredService<RightsBook>(), clocks, provider.GetRequiredService<HubTelemetry>(), provider.GetRequiredService<ILogger<MergedView>>()));
        services.AddSingleton<GrowthBoard>();
        services.AddSingleton<ClockPairLog>();
        services.AddSingleton<ReportIntake>();
        services.AddSingleton<PushIntake>();
        services.AddSingleton<KitIntake>();
        services.AddSingleton<SignOfLife>();
        services.AddSingleton<DayTeller>();
        services.AddSingleton<SessionHost>();
        services.AddSingleton<LinkBook>();
        services.AddSingleton<HubLinks>();
        services.AddSingleton<FailedCopies>();
        services.AddSingleton<ReadingHistory>();
        services.AddSingleton<AlertMemory>();
        services.AddSingleton<AlertView>();
        services.AddSingleton<TripView>();
        services.AddSingleton<ReportPages>();
        services.AddSingleton<StatusReport>();
        services.AddSingleton<ErrorInterceptor>();
        services.AddGrpc(grpc =>
        {
            grpc.Interceptors.Add<ErrorInterceptor>();
            grpc.MaxReceiveMessageSize = options.MaxMessageBytes;
            grpc.EnableDetailedErrors = false;
        }).AddJsonTranscoding(json =>
        {
            // Epochs are 64 random bits; a JSON number keeps 53.
            json.JsonSettings.WriteInt64sAsStrings = true;
            json.TypeRegistry = TypeRegistry.FromMessages(BadRequest.Descriptor, RetryInfo.Descriptor);
        });
        AddPages(services);
        services.AddGrpcReflection();
        services.AddGrpcHealthChecks().AddCheck<StoreHealth>("store");
    }

    private static void AddPages(IServiceCollection services)
    {
        services.AddResponseCompression(packing =>
        {
            // Over TLS too: a page holds no secret whose length could be guessed from what somebody else puts into it.
            packing.EnableForHttps = true;
            packing.MimeTypes = ["text/html", "application/json"];
        });
        services.AddRazorComponents();
        services.AddDataProtection().UseEphemeralDataProtectionProvider(); // Forms are guarded by where they come from, not by a token: no key is worth keeping.
        services.AddSingleton<LoadBuilder>();
        services.AddSingleton<PageBuilder>();
        services.AddSingleton<TripTelling>();
        services.AddSingleton<WhatIfView>();
        services.AddSingleton<WhatIfBuilder>();
        services.AddSingleton<HistoryBuilder>();
        services.AddSingleton<ReportsBuilder>();
        services.AddSingleton<LiveSignal>();
    }

    /// <summary>Maps everything that answers.</summary>
    public static void Map(WebApplication web)
    {
        CallerGate? gate = web.Services.GetService<CallerGate>();
        web.Use(next => context => PageGuard.InvokeAsync(context, next, asksWho: gate is not null));
        web.UseResponseCompression();
        web.Use(next => async context =>
        {
            PageLocale.Here = PageLocale.Of(context.Request);
            await next(context).ConfigureAwait(false);
        });
        if (gate is not null)
        {
            web.Use(next => context => gate.InvokeAsync(context, next));
            web.MapGrpcService<EnrolGrpcService>();
            JoinPage.Map(web);
        }

        PageRoutes.Map(web);
        TelemetryServices.Map(web);
        web.MapGrpcService<MeshGrpcService>();
        web.MapGrpcService<OutlookGrpcService>();
        web.MapGrpcService<DigestGrpcService>();
        web.MapGrpcHealthChecksService();
        web.MapGrpcReflectionService();
    }
}
