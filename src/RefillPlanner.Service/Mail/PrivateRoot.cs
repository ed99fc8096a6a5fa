using System.Net.Security;
using System.Security.Cryptography.X509Certificates;

namespace RefillPlanner.Service.Mail;

/// <summary>The one authority that is trusted where a private one is configured.</summary>
internal static class PrivateRoot
{
    /// <summary>Whether a server's certificate bears the server's name and was signed by the authority.</summary>
    /// <param name="file">The authority's certificate (PEM).</param>
    /// <param name="certificate">What the server showed.</param>
    /// <param name="errors">What the system found wrong with it.</param>
    public static bool Signed(string file, X509Certificate? certificate, SslPolicyErrors errors)
    {
        if (certificate is null || errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch))
            return false;
        using var chain = new X509Chain();
        chain.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
        chain.ChainPolicy.CustomTrustStore.ImportFromPemFile(file);
        chain.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
        using var presented = X509CertificateLoader.LoadCertificate(certificate.GetRawCertData());
        return chain.Build(presented);
    }
}
