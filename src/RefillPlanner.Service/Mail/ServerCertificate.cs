using System;
using System.IO;
using System.Linq;
using System.Net.Security;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using NodaTime;

namespace RefillPlanner.Service.Mail;

/// <summary>Judges the certificate that a mail server shows: its name must match, it must be valid now, and an authority must stand behind it.</summary>
/// <param name="host">The name under which the server is known here.</param>
/// <param name="rootFile">The certificate of a private authority (PEM); null: the authorities of this machine.</param>
internal sealed class ServerCertificate(string host, string? rootFile)
{
    private static readonly Oid ServerAuthentication = new("1.3.6.1.5.5.7.3.1"); // RFC 5280, 4.2.1.12: id-kp-serverAuth

    /// <summary>What is wrong with it; null: nothing, or none was shown.</summary>
    public string? Fault { get; private set; }

    /// <summary>Until when it is valid; null: none was shown.</summary>
    public Instant? NotAfter { get; private set; }

    /// <summary>Whether the server may be spoken to.</summary>
    public bool Check(object sender, X509Certificate? shown, X509Chain? chain, SslPolicyErrors errors)
    {
        Fault = Judge(shown, chain, errors);
        return Fault is null;
    }

    private string? Judge(X509Certificate? shown, X509Chain? chain, SslPolicyErrors errors)
    {
        if (shown is null)
            return "the server shows no certificate";
        using var certificate = X509CertificateLoader.LoadCertificate(shown.GetRawCertData());
        NotAfter = Instant.FromDateTimeUtc(certificate.NotAfter.ToUniversalTime());
        if (errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch))
            return $"the server's certificate is not for {host}";
        if (rootFile is null)
            return errors == SslPolicyErrors.None ? null : Words(chain, "an authority that this machine trusts");
        try
        {
            using var own = new X509Chain();
            own.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
            own.ChainPolicy.CustomTrustStore.ImportFromPemFile(rootFile);
            own.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
            own.ChainPolicy.ApplicationPolicy.Add(ServerAuthentication);
            if (chain is not null)
                own.ChainPolicy.ExtraStore.AddRange(chain.ChainPolicy.ExtraStore);
            return own.Build(certificate) ? null : Words(own, $"the authority in {rootFile}");
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or CryptographicException)
        {
            return $"root_certificate_file {rootFile} cannot be read: {failure.Message}";
        }
    }

    private string Words(X509Chain? chain, string authority)
    {
        var status = chain?.ChainStatus.Aggregate(X509ChainStatusFlags.NoError, (all, one) => all | one.Status) ?? X509ChainStatusFlags.NoError;
        return (status & ~X509ChainStatusFlags.NotTimeValid) != X509ChainStatusFlags.NoError || chain is null
            ? $"the server's certificate is not signed by {authority}"
            : $"the server's certificate is not valid now; it is valid until {NotAfter:uuuu-MM-dd'T'HH:mm:ss'Z'}";
    }
}
