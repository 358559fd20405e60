using System.Diagnostics;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Enrolment;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>A verifier of another maker (the openssl command) on what a hub makes: RFC 5280 path validation, PKCS #8, PKCS #10.</summary>
public sealed class OpenSslTests : IDisposable
{
    private const string Program = "/usr/bin/openssl";
    private static readonly string AtTime = TripMaker.Now.ToUnixTimeSeconds().ToString(System.Globalization.CultureInfo.InvariantCulture);
    private readonly TemporaryFolder _folder = new();
    private readonly TripMaker _trip = new();

    public OpenSslTests() => Assert.SkipUnless(File.Exists(Program), "The openssl command is not installed here.");

    public void Dispose()
    {
        _trip.Dispose();
        _folder.Dispose();
    }

    [Fact]
    public async Task Verify_NodeUnderTheRootAndUnderAFurtherHub_IsGood()
    {
        using ECDsa key = TripMaker.NewKey();
        using X509Certificate2 issuer = _trip.Issuer("ridge-hub", key);
        using X509Certificate2 hub = _trip.Node(issuer, key, "ridge-hub", MeshRoles.Hub | MeshRoles.Reader | MeshRoles.Writer);
        using X509Certificate2 device = _trip.Node(issuer, key, "hide-recorder", MeshRoles.Writer);
        using X509Certificate2 direct = _trip.Node("lead-phone", MeshRoles.Keeper);

        string ca = Pem("root.pem", _trip.Root);
        string middle = Pem("issuer.pem", issuer);
        (int hubCode, string hubWords) = await RunAsync("verify", "-attime", AtTime, "-x509_strict", "-CAfile", ca, "-untrusted", middle, "-purpose", "sslserver", "-verify_ip", "127.0.0.1", "-verify_hostname", "ridge-hub.kitmesh.internal", Pem("hub.pem", hub));
        (int deviceCode, string deviceWords) = await RunAsync("verify", "-attime", AtTime, "-x509_strict", "-CAfile", ca, "-untrusted", middle, "-purpose", "sslclient", Pem("device.pem", device));
        (int directCode, string directWords) = await RunAsync("verify", "-attime", AtTime, "-x509_strict", "-CAfile", ca, "-purpose", "sslclient", Pem("direct.pem", direct));
        (int serverCode, string serverWords) = await RunAsync("verify", "-attime", AtTime, "-CAfile", ca, "-untrusted", middle, "-purpose", "sslserver", Pem("device.pem", device));

        Assert.True(hubCode == 0, hubWords);
        Assert.True(deviceCode == 0, deviceWords);
        Assert.True(directCode == 0, directWords);
        Assert.True(serverCode != 0, $"A device may not pose as a server. {serverWords}");
    }

    [Theory]
    [InlineData("bank.example.com", "permitted subtree violation")]
    [InlineData("ridge-power.kitmesh.internal", "")]
    public async Task Verify_NameOutsideTheConstraints_IsRefused(string dns, string words)
    {
        using X509Certificate2 odd = _trip.Odd("CN=ridge-power, O=KitMesh trip test", request =>
        {
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName(dns);
            request.CertificateExtensions.Add(names.Build());
        });

        (int code, string said) = await RunAsync("verify", "-attime", AtTime, "-CAfile", Pem("root.pem", _trip.Root), Pem("odd.pem", odd));

        Assert.Equal(words.Length == 0, code == 0);
        Assert.Contains(words, said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_OfTheRoot_ShowsConstraintsAndPathLength()
    {
        (int code, string said) = await RunAsync("x509", "-in", Pem("root.pem", _trip.Root), "-noout", "-text");

        Assert.Equal(0, code);
        Assert.Contains("prime256v1", said, StringComparison.Ordinal);
        Assert.Contains("ecdsa-with-SHA256", said, StringComparison.Ordinal);
        Assert.Contains("CA:TRUE, pathlen:1", said, StringComparison.Ordinal);
        Assert.Contains("Certificate Sign, CRL Sign", said, StringComparison.Ordinal);
        Assert.Contains("X509v3 Name Constraints: critical", said, StringComparison.Ordinal);
        Assert.Contains("DNS:kitmesh.internal", said, StringComparison.Ordinal);
        Assert.Contains("IP:10.0.0.0/255.0.0.0", said, StringComparison.Ordinal);
        Assert.Contains("DirName:O = KitMesh trip test", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_OfANode_ShowsItsRolesAndName()
    {
        using X509Certificate2 node = _trip.Node("ridge-power", MeshRoles.Writer | MeshRoles.Reader);

        (int code, string said) = await RunAsync("x509", "-in", Pem("node.pem", node), "-noout", "-text");

        Assert.Equal(0, code);
        Assert.Contains("Subject: O = KitMesh trip test, role = writer, role = reader, CN = ridge-power", said, StringComparison.Ordinal);
        Assert.Contains("DNS:ridge-power.kitmesh.internal", said, StringComparison.Ordinal);
        Assert.Contains("TLS Web Client Authentication", said, StringComparison.Ordinal);
        Assert.DoesNotContain("TLS Web Server Authentication", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Pkcs8_SpareCopyOfARealHub_OpensWithItsPassphraseOnly()
    {
        var folder = new HubIdentityFolder(_folder.At("hub"));
        using HubIdentity identity = HubIdentity.Open(folder, NodeId.Parse("base-camp"), [IPAddress.Loopback], TripMaker.Now);
        string spare = _folder.At("spare.pem");
        RootSpare.Write(folder, spare, "five words from a book");
        File.WriteAllText(_folder.At("right"), "five words from a book");
        File.WriteAllText(_folder.At("wrong"), "six words from a book");

        (int code, string plain) = await RunAsync("pkcs8", "-in", spare, "-passin", $"file:{_folder.At("right")}");
        (int refused, _) = await RunAsync("pkcs8", "-in", spare, "-passin", $"file:{_folder.At("wrong")}");
        (_, string structure) = await RunAsync("asn1parse", "-in", spare);

        Assert.Equal(0, code);
        Assert.NotEqual(0, refused);
        using ECDsa opened = ECDsa.Create();
        opened.ImportFromPem(plain);
        Assert.Equal(identity.Trust.Root.PublicKey.ExportSubjectPublicKeyInfo(), opened.ExportSubjectPublicKeyInfo());
        Assert.Contains("PBKDF2", structure, StringComparison.Ordinal);
        Assert.Contains("hmacWithSHA256", structure, StringComparison.Ordinal);
        Assert.Contains("aes-256-cbc", structure, StringComparison.Ordinal);
        Assert.Contains(RootSpare.Rounds.ToString("X6", System.Globalization.CultureInfo.InvariantCulture), structure, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Enrol_WithARequestMadeByOpenSsl_GivesACertificateThatItVerifies()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("foreign-device");
        (int made, string words) = await RunAsync(
            "req", "-new", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-keyout", _folder.At("device.key"), "-subj", "/CN=anything", "-outform", "DER", "-out", _folder.At("device.csr"));
        Assert.True(made == 0, words);
        byte[] request = File.ReadAllBytes(_folder.At("device.csr"));

        var answer = await new KitMesh.Protocol.V1.EnrolService.EnrolServiceClient(hub.StrangerChannel()).EnrolAsync(
            new KitMesh.Protocol.V1.EnrolRequest
            {
                CodeName = code.Name,
                Request = Google.Protobuf.ByteString.CopyFrom(request),
                Proof = Google.Protobuf.ByteString.CopyFrom(EnrolProof.OfDevice(code, pin, request)),
            },
            cancellationToken: TestContext.Current.CancellationToken);
        using X509Certificate2 device = X509CertificateLoader.LoadCertificate(answer.Certificate.Span);
        using X509Certificate2 root = X509CertificateLoader.LoadCertificate(answer.Root.Span);
        (int code2, string said) = await RunAsync("verify", "-attime", AtTime, "-x509_strict", "-CAfile", Pem("root.pem", root), "-purpose", "sslclient", Pem("device.pem", device));

        Assert.True(code2 == 0, said);
    }

    private string Pem(string name, X509Certificate2 certificate)
    {
        string file = _folder.At(name);
        File.WriteAllText(file, certificate.ExportCertificatePem());
        return file;
    }

    private static async Task<(int Code, string Words)> RunAsync(params string[] words)
    {
        var start = new ProcessStartInfo(Program) { RedirectStandardOutput = true, RedirectStandardError = true, RedirectStandardInput = true };
        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        process.StandardInput.Close();
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, output + await error);
    }
}
